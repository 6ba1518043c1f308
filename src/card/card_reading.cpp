#include "card/card_reading.hpp"

#include <expected>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <utility>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/points.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

// A card with the points that its file states.
Expected<CardFile> finished(const std::string& name, const std::shared_ptr<const Description>& card,
                            Problems problems) {
    if (!card) return std::unexpected(std::move(problems));
    CardFile file{.name = name, .card = *card, .points = {}};
    if (card->place.text) {
        const auto document = read_toml(card->place.text);
        if (document) file.points = read_points(document->root, problems);
    }
    if (!problems.empty()) return std::unexpected(std::move(problems));
    return file;
}

}  // namespace

Expected<CardFile> read_card(const std::string& file_or_name) {
    namespace fs = std::filesystem;
    constexpr std::string_view ending = ".card.toml";
    CardFile file;
    fs::path folder = ".";
    file.name = file_or_name;
    if (file_or_name.ends_with(ending)) {
        const fs::path path(file_or_name);
        // The file itself must be there: the shelf would go on to cards of that name elsewhere.
        if (auto text = read_file(file_or_name); !text) return std::unexpected(text.error());
        if (path.has_parent_path()) folder = path.parent_path();
        file.name = path.filename().string();
        file.name.resize(file.name.size() - ending.size());
    }
    CardShelf shelf({folder, folder / "cards"});
    Problems problems;
    const auto card = shelf.find(file.name, Place{}, problems);
    return finished(file.name, card, std::move(problems));
}

Expected<CardFile> read_card_text(const std::shared_ptr<const SourceText>& text,
                                  const std::string& name, const std::string& folder) {
    CardShelf shelf({folder, std::filesystem::path(folder) / "cards"});
    Problems problems;
    const auto card = shelf.read(text, name, problems);
    return finished(name, card, std::move(problems));
}

}  // namespace gapwright
