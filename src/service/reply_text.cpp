#include "service/reply_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>
#include <vector>
#include "service/exchange.hpp"

namespace gapwright {
namespace {

// What the page may do: load its own scripts, styles and pictures and ask its own server. `sandbox`
// would take nothing more from it that matters, since it needs scripts, its origin and downloads.
constexpr std::string_view guarding_fields =
    "Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self'; "
    "img-src 'self' blob: data:; connect-src 'self'; form-action 'none'; frame-ancestors 'none'; "
    "base-uri 'none'\r\n"
    "X-Content-Type-Options: nosniff\r\n"
    "X-Frame-Options: DENY\r\n"
    "Referrer-Policy: no-referrer\r\n"
    "Cross-Origin-Opener-Policy: same-origin\r\n"
    "Cross-Origin-Resource-Policy: same-origin\r\n"
    "Cache-Control: no-store\r\n";

std::string_view reason_phrase(int status) {
    static constexpr std::array<std::pair<int, std::string_view>, 20> phrases{
        {{200, "OK"},
         {201, "Created"},
         {204, "No Content"},
         {303, "See Other"},
         {400, "Bad Request"},
         {403, "Forbidden"},
         {404, "Not Found"},
         {405, "Method Not Allowed"},
         {408, "Request Timeout"},
         {409, "Conflict"},
         {412, "Precondition Failed"},
         {413, "Content Too Large"},
         {415, "Unsupported Media Type"},
         {417, "Expectation Failed"},
         {422, "Unprocessable Content"},
         {431, "Request Header Fields Too Large"},
         {500, "Internal Server Error"},
         {503, "Service Unavailable"},
         {505, "HTTP Version Not Supported"},
         {507, "Insufficient Storage"}}};
    const auto found = std::ranges::find(phrases, status, &std::pair<int, std::string_view>::first);
    return found == phrases.end() ? "" : found->second;
}

bool is_letter_or_digit(char letter) {
    return (letter >= 'a' && letter <= 'z') || (letter >= 'A' && letter <= 'Z') ||
           (letter >= '0' && letter <= '9');
}

bool is_continuation(char byte) {
    return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U;
}

Reply page(int status, std::string_view title, std::string_view head, std::string_view content) {
    Reply reply;
    reply.status = status;
    reply.type = "text/html; charset=utf-8";
    reply.body = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width\">\n"
        "<link rel=\"icon\" href=\"data:,\">\n{}<title>{}</title>\n</head>\n"
        "<body>\n<h1>{}</h1>\n{}\n</body>\n</html>\n",
        head, title, title, content);
    return reply;
}

}  // namespace

std::string content_disposition(std::string_view name) {
    std::string plain;
    std::string encoded;
    for (const char letter : name) {
        const bool usual =
            is_letter_or_digit(letter) || letter == '.' || letter == '-' || letter == '_';
        if (usual) {
            encoded += letter;
        } else {
            encoded += fmt::format("%{:02X}", static_cast<unsigned char>(letter));
        }
        if (usual || letter == ' ') {
            plain += letter;
        } else if (!is_continuation(letter)) {
            plain += '_';  // one for each character
        }
    }
    return fmt::format("attachment; filename=\"{}\"; filename*=UTF-8''{}", plain, encoded);
}

std::string reply_head(const Reply& reply, bool keep_alive,
                       const std::vector<std::string>& further) {
    std::string result =
        fmt::format("HTTP/1.1 {} {}\r\n", reply.status, reason_phrase(reply.status));
    if (!reply.type.empty()) result += fmt::format("Content-Type: {}\r\n", reply.type);
    result += fmt::format("Content-Length: {}\r\n", reply.body.size());
    result += keep_alive ? "Connection: keep-alive\r\n" : "Connection: close\r\n";
    if (!reply.download_name.empty()) {
        result +=
            fmt::format("Content-Disposition: {}\r\n", content_disposition(reply.download_name));
    }
    if (reply.status == 405) result += "Allow: GET, POST\r\n";
    if (reply.status == 503) result += "Retry-After: 1\r\n";
    result += guarding_fields;
    for (const auto& line : further) result += line + "\r\n";
    return result + "\r\n";
}

Reply refusal_reply(int status, std::string_view words, bool as_page) {
    if (as_page) return page(status, "Gapwright: not here", "", fmt::format("<p>{}</p>", words));
    Reply reply;
    reply.status = status;
    reply.type = "text/plain; charset=utf-8";
    reply.body = fmt::format("{}\n", words);
    return reply;
}

Reply welcome_reply() {
    return page(200, "Gapwright", "<meta http-equiv=\"refresh\" content=\"0;url=/\">\n",
                "<p><a href=\"/\">Open the page</a></p>");
}

Reply unwelcome_reply() {
    return page(403, "Gapwright: this address has been used", "",
                "<p>The address that opens the page works once. Where the page is open in this "
                "browser already, <a href=\"/\">go to it</a>. Else get a new address from the "
                "terminal that <code>gapwright open</code> runs in, or run it again.</p>");
}

}  // namespace gapwright
