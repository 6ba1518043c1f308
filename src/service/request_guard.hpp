// Which requests are answered: those of the page itself, and the one that opens it.
//
// Other programs' pages in the same browser can send requests to 127.0.0.1 as well, by the thousand
// and under any name that resolves to it; a page served on another port even brings our cookie
// along. So every request is judged by all that a browser says of it.
#pragma once

#include <cstdint>
#include <expected>
#include <string>
#include <string_view>
#include <vector>

namespace gapwright {

// What a request says of itself. Headers as they were sent, one entry for each time.
struct RequestFacts {
    std::string method;         // "GET"
    std::string path;           // decoded
    bool has_code = false;      // `code` is in the query
    bool cookie_valid = false;  // it bears this session's cookie
    std::vector<std::string> hosts = {};
    std::vector<std::string> origins = {};
    std::vector<std::string> fetch_sites = {};  // Sec-Fetch-Site
    std::vector<std::string> fetch_modes = {};  // Sec-Fetch-Mode
    std::vector<std::string> fetch_dests = {};  // Sec-Fetch-Dest
    std::vector<std::string> types = {};        // Content-Type
};

enum class Admission {
    handler,   // a request of the page
    exchange,  // `GET /?code=…`: may try its code, which needs no cookie
};

struct RequestRefusal {
    int status = 403;        // 400, 403, 405 or 415
    std::string words = {};  // one sentence
};

// Host must be `127.0.0.1:PORT`, once. Methods are GET and POST. An Origin must be
// `http://127.0.0.1:PORT`; a POST needs it. Sec-Fetch-Site, where a browser sends it, must be
// `same-origin`, or `none` for a GET that is a top-level navigation (typed, or from a bookmark).
// All but the exchange need the cookie. POST bodies are JSON, bytes, PNG, JPEG or CSV.
//
// The exchange is a top-level navigation from anywhere, since a file or another program opens it;
// what it needs is the code.
std::expected<Admission, RequestRefusal> guard(const RequestFacts& facts, std::uint16_t port);

// The media type without its parameters, in small letters: "application/json".
std::string media_type(std::string_view header);

}  // namespace gapwright
