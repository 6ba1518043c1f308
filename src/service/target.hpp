// What a request asks for: its target, taken apart. Internal to the layer.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>

namespace gapwright {

struct RequestTarget {
    std::string path;  // decoded
    std::map<std::string, std::string> query;
};

// "/a%20b?c=d" as path "/a b" and query c = "d"; '+' in a query is a space. Nothing where it does
// not start with '/' or holds a '#' or anything but visible ASCII, half a percent-encoding, a
// control character (also an encoded one), bytes that are not UTF-8, or one name twice in its
// query.
std::optional<RequestTarget> parse_target(std::string_view text);

}  // namespace gapwright
