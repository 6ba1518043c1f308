#include "service/session_code.hpp"

#include <fmt/format.h>
#include <sys/random.h>

#include <cerrno>
#include <cstddef>
#include <cstdint>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include <vector>

namespace gapwright {
namespace {

constexpr std::size_t secret_bytes = 32;

}  // namespace

std::string random_hex(std::size_t bytes) {
    std::vector<unsigned char> random(bytes);
    std::size_t filled = 0;
    while (filled < bytes) {
        const auto got = ::getrandom(random.data() + filled, bytes - filled, 0);
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) throw std::system_error(errno, std::generic_category(), "random numbers");
        filled += static_cast<std::size_t>(got);
    }
    std::string result;
    for (const unsigned char byte : random) result += fmt::format("{:02x}", byte);
    return result;
}

bool equal_in_constant_time(std::string_view a, std::string_view b) {
    if (a.size() != b.size()) return false;
    volatile unsigned char difference = 0;  // so that no compiler makes it stop early
    for (std::size_t i = 0; i < a.size(); ++i) {
        difference =
            static_cast<unsigned char>(difference | static_cast<unsigned char>(a[i] ^ b[i]));
    }
    return difference == 0;
}

SessionCode::SessionCode(std::uint16_t port)
    : cookie_name_(fmt::format("gapwright-{}", port)),
      cookie_(random_hex(secret_bytes)),
      code_(random_hex(secret_bytes)) {}

std::string SessionCode::code() const {
    const std::lock_guard lock(mutex_);
    return code_;
}

std::string SessionCode::renew() {
    const std::lock_guard lock(mutex_);
    code_ = random_hex(secret_bytes);
    valid_ = true;
    wrong_codes_ = 0;
    return code_;
}

std::optional<std::string> SessionCode::exchange(std::string_view code) {
    const std::lock_guard lock(mutex_);
    if (!valid_) return std::nullopt;
    if (!equal_in_constant_time(code, code_)) {
        valid_ = ++wrong_codes_ < most_wrong_codes;
        return std::nullopt;
    }
    valid_ = false;
    return fmt::format("{}={}; HttpOnly; SameSite=Strict; Path=/", cookie_name_, cookie_);
}

bool SessionCode::holds_cookie(std::string_view header) const {
    bool found = false;
    while (!header.empty()) {
        const std::size_t end = header.find(';');
        std::string_view pair = header.substr(0, end);
        header.remove_prefix(end == std::string_view::npos ? header.size() : end + 1);
        while (pair.starts_with(' ')) pair.remove_prefix(1);
        while (pair.ends_with(' ')) pair.remove_suffix(1);
        const std::size_t sign = pair.find('=');
        if (sign == std::string_view::npos || pair.substr(0, sign) != cookie_name_) continue;
        // Other ports' pages can set cookies of our name beside ours: any that is right will do.
        found = equal_in_constant_time(pair.substr(sign + 1), cookie_) || found;
    }
    return found;
}

}  // namespace gapwright
