// What instruments answer, as numbers: strictly, so that half an answer is none.
#pragma once

#include <expected>
#include <string>
#include <string_view>

namespace gapwright {

// A value, or what is wrong with the answer in a few words.
template <class T>
using AnswerExpected = std::expected<T, std::string>;

// A number in form NR1, NR2 or NR3 of IEEE 488.2 (from memory): "+12", "1.5", "-1.50E-3", spaces
// around it allowed, nothing else behind it. Errors: no such number; not a double; ±9.9E37 and
// 9.91E37, by which SCPI-99 says overload and not a number (from memory).
AnswerExpected<double> parse_number(std::string_view answer);

// "0" or "OFF", "1" or "ON", in either case of letters.
AnswerExpected<bool> parse_switch(std::string_view answer);

// One entry of the error queue: `-113,"Undefined header"`; code 0 means that the queue is empty.
struct ErrorEntry {
    int code = 0;
    std::string text;  // without its quotes
};
AnswerExpected<ErrorEntry> parse_error_entry(std::string_view answer);

// The answer to *IDN?: not empty, and nothing that could be an answer to another question, since
// it is what tells old answers from new ones.
AnswerExpected<std::string> parse_identity(std::string_view answer);

}  // namespace gapwright
