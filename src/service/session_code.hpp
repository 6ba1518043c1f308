// Secrets of one run: a code that opens the page once, and the cookie that it is exchanged for.
//
// Both are 256 bits of the system's random numbers, live in memory only, and are compared in a time
// that does not tell how much of a guess was right. The cookie ends with the program.
#pragma once

#include <cstddef>
#include <cstdint>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>

namespace gapwright {

// `bytes` random bytes in hex. Throws std::system_error where the system has none.
std::string random_hex(std::size_t bytes);

// Whether both are the same; the time depends on their lengths only.
bool equal_in_constant_time(std::string_view a, std::string_view b);

// All functions may be called from several threads.
class SessionCode {
  public:
    explicit SessionCode(std::uint16_t port);

    // The code for `GET /?code=…`, also when it is no longer valid.
    std::string code() const;

    // A new code in place of the old one.
    std::string renew();

    // The value of `Set-Cookie` for the code; nothing when it is wrong, used or withdrawn. A code
    // is good for one exchange; `most_wrong_codes` wrong ones withdraw it.
    std::optional<std::string> exchange(std::string_view code);

    // Whether a `Cookie` header holds the cookie, among whatever else.
    bool holds_cookie(std::string_view header) const;

    static constexpr int most_wrong_codes = 20;

  private:
    const std::string cookie_name_;  // with the port: browsers share cookies between ports
    const std::string cookie_;
    mutable std::mutex mutex_;
    std::string code_;
    bool valid_ = true;
    int wrong_codes_ = 0;
};

}  // namespace gapwright
