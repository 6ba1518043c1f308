#include "card/card_shelf.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <filesystem>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/shipped_cards.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

constexpr std::string_view card_ending = ".card.toml";

// A card's name is part of a file's name: nothing that could lead to another folder.
bool is_card_name(std::string_view name) {
    return !name.empty() && name.size() <= 100 &&
           name.find_first_of("/\\") == std::string_view::npos &&
           std::ranges::none_of(name, [](char c) { return static_cast<unsigned char>(c) < ' '; });
}

}  // namespace

CardShelf::CardShelf(std::vector<std::filesystem::path> folders) : folders_(std::move(folders)) {}

std::vector<std::string> CardShelf::names() const {
    std::set<std::string> names;
    for (const auto& card : shipped_cards()) names.emplace(card.name);
    for (const auto& folder : folders_) {
        std::error_code ignored;
        for (const auto& entry : std::filesystem::directory_iterator(folder, ignored)) {
            const std::string name = entry.path().filename().string();
            if (name.ends_with(card_ending)) {
                names.insert(name.substr(0, name.size() - card_ending.size()));
            }
        }
    }
    return {names.begin(), names.end()};
}

std::shared_ptr<const SourceText> CardShelf::text_of(const std::string& name, const Place& asked_at,
                                                     Problems& problems) const {
    if (is_card_name(name)) {
        for (const auto& folder : folders_) {
            const auto path = folder / (name + std::string(card_ending));
            std::error_code ignored;
            if (!std::filesystem::exists(path, ignored)) continue;
            auto text = read_file(path.string());
            if (text) return *text;
            problems.insert(problems.end(), text.error().begin(), text.error().end());
            return nullptr;
        }
        for (const auto& card : shipped_cards()) {
            if (card.name != name) continue;
            return std::make_shared<const SourceText>(
                fmt::format("(shipped) {}{}", name, card_ending), std::string(card.text));
        }
    }
    problems.push_back(
        {.cause = Cause::unknown_name,
         .place = asked_at,
         .message = fmt::format("no card is called \"{}\"{}", name, did_you_mean(name, names())),
         .remedy = fmt::format("put {}{} beside the link file or into its cards/, or name a "
                               "shipped card",
                               name, card_ending)});
    return nullptr;
}

std::shared_ptr<const Description> CardShelf::find(const std::string& name, const Place& asked_at,
                                                   Problems& problems) {
    if (const auto known = read_.find(name); known != read_.end()) return known->second;
    if (std::ranges::find(under_way_, name) != under_way_.end()) {
        problems.push_back(
            {.cause = Cause::card_cycle,
             .place = asked_at,
             .message = fmt::format("the cards refer to each other in a circle: {} > {}",
                                    fmt::join(under_way_, " > "), name),
             .remedy = "let one of them state its own figures"});
        return nullptr;
    }
    std::shared_ptr<const Description> result;
    if (const auto text = text_of(name, asked_at, problems)) result = read(text, name, problems);
    read_[name] = result;
    return result;
}

std::shared_ptr<const Description> CardShelf::read(const std::shared_ptr<const SourceText>& text,
                                                   const std::string& name, Problems& problems) {
    under_way_.push_back(name);
    std::shared_ptr<const Description> result;
    if (const auto document = read_toml(text)) {
        if (auto description = read_description(document->root, document->start(),
                                                {.is_card = true}, *this, problems)) {
            description->card = name;
            result = std::make_shared<const Description>(std::move(*description));
        }
    } else {
        problems.insert(problems.end(), document.error().begin(), document.error().end());
    }
    under_way_.pop_back();
    return result;
}

}  // namespace gapwright
