#include "service/request_guard.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <expected>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace gapwright {
namespace {

using Headers = std::vector<std::string>;

std::unexpected<RequestRefusal> refusal(int status, std::string words) {
    return std::unexpected(RequestRefusal{status, std::move(words)});
}

bool is_exactly(const Headers& headers, std::string_view value) {
    return headers.size() == 1 && headers.front() == value;
}

// Opening a page in a tab, and not in a frame or an object of another.
bool is_top_navigation(const RequestFacts& facts) {
    return facts.method == "GET" && is_exactly(facts.fetch_modes, "navigate") &&
           is_exactly(facts.fetch_dests, "document");
}

bool origin_fits(const RequestFacts& facts, std::string_view own) {
    if (facts.origins.empty()) return facts.method == "GET";
    return is_exactly(facts.origins, own);
}

bool fetch_site_fits(const RequestFacts& facts) {
    if (facts.fetch_sites.empty() || is_exactly(facts.fetch_sites, "same-origin")) return true;
    return is_exactly(facts.fetch_sites, "none") && is_top_navigation(facts);
}

bool is_exchange(const RequestFacts& facts) {
    return facts.method == "GET" && facts.path == "/" && facts.has_code;
}

// Old browsers and other programs say nothing of a request's site.
bool exchange_fits(const RequestFacts& facts) {
    return facts.fetch_sites.empty() || (facts.fetch_sites.size() == 1 && is_top_navigation(facts));
}

bool type_fits(const RequestFacts& facts) {
    static constexpr std::array<std::string_view, 5> accepted{
        "application/json", "application/octet-stream", "image/png", "image/jpeg", "text/csv"};
    return facts.types.size() == 1 &&
           std::ranges::find(accepted, media_type(facts.types.front())) != accepted.end();
}

}  // namespace

std::string media_type(std::string_view header) {
    std::string result(header.substr(0, header.find(';')));
    while (!result.empty() && (result.back() == ' ' || result.back() == '\t')) result.pop_back();
    for (char& letter : result) {
        if (letter >= 'A' && letter <= 'Z') letter = static_cast<char>(letter - 'A' + 'a');
    }
    return result;
}

std::expected<Admission, RequestRefusal> guard(const RequestFacts& facts, std::uint16_t port) {
    const std::string host = fmt::format("127.0.0.1:{}", port);
    if (facts.hosts.size() != 1) return refusal(400, "A request names one host.");
    if (facts.hosts.front() != host) return refusal(403, "This is not the address of this page.");
    if (facts.method != "GET" && facts.method != "POST") {
        return refusal(405, "Only GET and POST are answered.");
    }
    if (!origin_fits(facts, "http://" + host)) {
        return refusal(403, "The request comes from another page.");
    }
    if (is_exchange(facts)) {
        if (exchange_fits(facts)) return Admission::exchange;
        return refusal(403, "The page is opened in a tab of its own.");
    }
    if (!fetch_site_fits(facts)) return refusal(403, "The request comes from another page.");
    if (!facts.cookie_valid) {
        return refusal(403,
                       "This browser has not opened the page: use the address in the terminal.");
    }
    if (facts.method == "POST" && !type_fits(facts)) {
        return refusal(415, "This type of content is not accepted.");
    }
    return Admission::handler;
}

}  // namespace gapwright
