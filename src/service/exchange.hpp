// One question of a browser and its answer, as a handler sees them.
#pragma once

#include <functional>
#include <map>
#include <stop_token>
#include <string>

namespace gapwright {

enum class Method { get, post };

// A question that the guard has let through (request_guard.hpp).
struct Request {
    Method method = Method::get;
    std::string path =
        {};  // decoded, without query; starts with '/'; UTF-8, no control characters.
             // ".." may be in it: a path is a name to look up, never one to open
    std::map<std::string, std::string> query = {};  // decoded; each name once
    std::string body = {};
    std::string type = {};  // of the body, in small letters, without parameters; empty for get
};

// What to answer. Headers that keep other sites out are added to every reply.
struct Reply {
    int status = 200;
    std::string type = "application/json";  // with its charset where it is text other than JSON
    std::string body = {};
    std::string download_name = {};  // where not empty, the browser saves the body under this name;
                                     // UTF-8
};

// Called on worker threads, several at once. The token stops when whoever asked has gone, or the
// server ends; what is returned then goes nowhere, so return soon. An exception becomes a reply of
// status 500 that says nothing of its cause.
using Handler = std::function<Reply(const Request&, std::stop_token)>;

}  // namespace gapwright
