// Replies as they go over the wire, and the few pages that the server has of its own. Internal to
// the layer.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "service/exchange.hpp"

namespace gapwright {

// Status line and header fields, the blank line included, of a reply with a body of that length.
// Bears the fields that keep other sites out, and no secret but what is in `further`: whole lines
// without their endings, "Retry-After: 1".
std::string reply_head(const Reply& reply, bool keep_alive,
                       const std::vector<std::string>& further = {});

// "attachment; filename=…; filename*=…" (RFC 6266): an ASCII form of the name, and the name itself.
std::string content_disposition(std::string_view name);

// The words alone as a text, or, for a browser's tab, as a page with a heading.
Reply refusal_reply(int status, std::string_view words, bool as_page);

// The answer to a right code: a page that moves on to "/" by itself. Not a redirection: after one
// that another site or a file has set off, browsers hold back a cookie that is SameSite=Strict.
Reply welcome_reply();

// The answer to a wrong or used code.
Reply unwelcome_reply();

}  // namespace gapwright
