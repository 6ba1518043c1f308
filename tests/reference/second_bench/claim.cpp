// A table of the sentences that the program is known to make, tried in order.
#include "reference/second_bench/claim.hpp"

#include <map>
#include <regex>
#include <utility>

namespace gapwright::reference {
namespace {

using What = Claim::What;

// "U1.receiver.base" into its part, half and lead.
void set_place(Claim& claim, const std::string& place) {
    std::vector<std::string> bits;
    std::size_t begin = 0;
    while (begin <= place.size()) {
        const std::size_t dot = std::min(place.find('.', begin), place.size());
        bits.push_back(place.substr(begin, dot - begin));
        begin = dot + 1;
    }
    claim.part = bits[0];
    for (std::size_t k = 1; k < bits.size(); ++k) {
        // Whether "emitter" is half of a gap or a lead of a transistor is for others to tell.
        if (bits[k] == "receiver" || (bits[k] == "emitter" && bits[0][0] == 'U')) {
            claim.half = bits[k];
        } else {
            claim.lead = bits[k];
        }
    }
}

struct Form {
    std::regex form;
    What what;
    std::string word = {};
};

const std::string place = R"(([A-Za-z][\w]*(?:\.\w+)*))";

const std::vector<Form>& forms_of_parts() {
    static const auto make = [](const std::string& rest, What what, std::string word = {}) {
        return Form{std::regex(place + " " + rest), what, std::move(word)};
    };
    static const std::vector<Form> forms{
        make("(?:is|are) open.*", What::open),
        make("has a bad joint.*", What::joint),
        make("(?:is|are) (?:shorted|bridged)", What::shorted),
        make("(?:has another (?:value|resistance)|reads as about).*", What::value),
        make("is the wrong way round.*", What::reversed),
        make("is turned round.*", What::turned),
        make("(?:is weak|gives little light|is too far|is out of line).*", What::weak),
        make("(?:transfers|gives) about .* of what it should.*", What::weak),
        make("(?:is strong|gives too much|transfers too much).*", What::strong),
        make("leaks.*", What::leaks),
        make("draws current.*", What::draws),
        make("stays open.*", What::stays, "open"),
        make("stays closed.*", What::stays, "closed"),
        make("stays low.*", What::stays, "low"),
        make("stays high.*", What::stays, "high"),
        make("(?:is of another|has another|is another).*", What::other_kind),
        make("(?:drops|breaks down at) about.*", What::other_kind),
        make("has (?:too )?little gain.*", What::little_gain),
        make("has a gain of.*", What::little_gain),
        make("is an? pnp.*", What::other_device, "pnp"),
        make("is an? npn.*", What::other_device, "npn"),
        make("is an? MOSFET.*", What::other_device, "MOSFET"),
        make("is an? [np]-channel.*", What::other_device, "channel"),
    };
    return forms;
}

std::optional<Claim> special(const std::string& text) {
    static const std::regex exchanged(place + " has (\\w+) and (\\w+) exchanged.*");
    static const std::regex two_parts(R"((\w+) and (\w+) are exchanged.*)");
    static const std::regex between(place + " is shorted from (\\w+) to (\\w+).*");
    static const std::regex joined(R"((\S+) and (\S+) are joined.*)");
    static const std::regex light(R"(.*(?:light|daylight) reaches (\w+).*)");
    static const std::regex supply(R"(the (input|output) supply (.*))");
    std::smatch found;
    Claim claim;
    if (text.empty() || text == "no fault") {
        claim.what = What::nothing;
    } else if (text.find("meter") != std::string::npos) {
        claim.what = What::meter;
        claim.word = text.find("fuse") != std::string::npos ? "fuse" : "socket";
    } else if (std::regex_match(text, found, supply)) {
        claim.what = What::supply;
        claim.part = found[1].str() + " supply";
        const std::string rest = found[2];
        const std::pair<const char*, const char*> words[] = {
            {"missing", "missing"}, {"wrong way", "reversed"}, {"low", "low"},  {"high", "high"},
            {"tired", "weak"},      {"joint", "weak"},         {"weak", "weak"}};
        for (const auto& [heard, word] : words) {
            if (claim.word.empty() && rest.find(heard) != std::string::npos) claim.word = word;
        }
        const auto gives = amount_in(rest, "gives about");
        const auto asked = amount_in(rest, "instead of");
        if (gives && asked) {
            const double share = *gives / *asked;
            claim.word = share < -0.05  ? "reversed"
                         : share < 0.05 ? "missing"
                         : share < 1    ? "low"
                                        : "high";
            claim.amount = share;
        }
        if (claim.word.empty()) claim.what = What::unknown;
    } else if (std::regex_match(text, found, between)) {
        set_place(claim, found[1]);
        claim.what = What::shorted;
        claim.others = {found[2], found[3]};
    } else if (std::regex_match(text, found, exchanged)) {
        set_place(claim, found[1]);
        claim.what = What::leads_exchanged;
        claim.others = {found[2], found[3]};
    } else if (std::regex_match(text, found, two_parts)) {
        claim.what = What::parts_exchanged;
        claim.part = found[1];
        claim.others = {found[2]};
    } else if (std::regex_match(text, found, joined)) {
        claim.what = What::joined;
        claim.others = {found[1], found[2]};
    } else if (std::regex_match(text, found, light)) {
        claim.what = What::stray_light;
        claim.part = found[1];
    } else {
        return {};
    }
    return claim;
}

Claim claim_of(const std::string& text) {
    if (auto claim = special(text)) return *claim;
    for (const auto& form : forms_of_parts()) {
        std::smatch found;
        if (!std::regex_match(text, found, form.form)) continue;
        Claim claim;
        claim.what = form.what;
        claim.word = form.word;
        set_place(claim, found[1]);
        claim.amount = amount_in(text);
        if (claim.what == What::weak && claim.amount.value_or(0) > 1) claim.what = What::strong;
        return claim;
    }
    return {};
}

}  // namespace

std::optional<double> amount_in(const std::string& text, const std::string& after) {
    const std::regex number(after + R"( (-|−)?([0-9.]+) ?(n|u|µ|m|k|M|G)?(Ω|V|A|%))");
    std::smatch found;
    if (!std::regex_search(text, found, number)) return {};
    static const std::map<std::string, double> prefixes{{"", 1},     {"n", 1e-9}, {"u", 1e-6},
                                                        {"µ", 1e-6}, {"m", 1e-3}, {"k", 1e3},
                                                        {"M", 1e6},  {"G", 1e9}};
    const double sign = found[1].matched ? -1 : 1;
    const double unit = found[4] == "%" ? 0.01 : 1;
    return sign * std::stod(found[2]) * prefixes.at(found[3]) * unit;
}

std::vector<Claim> claims_of(const std::string& text) {
    std::vector<Claim> all;
    std::size_t begin = 0;
    static const std::vector<std::string> joints{"; ", ", and ", " and also "};
    while (begin <= text.size()) {
        std::size_t end = text.size(), next = text.size() + 1;
        for (const auto& joint : joints) {
            const std::size_t at = text.find(joint, begin);
            if (at < end) {
                end = at;
                next = at + joint.size();
            }
        }
        all.push_back(claim_of(text.substr(begin, end - begin)));
        begin = next;
    }
    return all;
}

}  // namespace gapwright::reference
