#include "app/write_pictures.hpp"

#include <fmt/format.h>

#include <cstdio>

#include "folder/atomic_save.hpp"
#include "report/picture_file.hpp"

namespace gapwright {
namespace {

// A name of a state or part as the name of a file.
std::string file_name(const std::string& name) {
    std::string result;
    for (const char c : name) {
        const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                           (c >= '0' && c <= '9') || c == '-' || c == '.' ||
                           static_cast<unsigned char>(c) >= 0x80;
        result += plain ? c : '_';
    }
    return result;
}

using Encode = std::expected<std::string, std::string> (*)(const std::string& svg);

std::expected<std::string, std::string> as_it_is(const std::string& svg) {
    return svg;
}

bool write_as(const std::vector<const NamedPicture*>& pictures, const std::string& folder,
              std::string_view ending, Encode encode) {
    if (folder.empty()) return true;
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    for (const auto* picture : pictures) {
        const auto data = encode(picture->picture.svg(true));
        if (!data) {
            fmt::print(stderr, "gapwright: {}: {}\n", picture->name, data.error());
            return false;
        }
        const std::filesystem::path path =
            std::filesystem::path(folder) / (file_name(picture->name) + std::string(ending));
        if (!write_file(path, *data)) return false;
    }
    return true;
}

}  // namespace

bool may_write(const std::filesystem::path& path, bool replace) {
    std::error_code ignored;
    if (replace || !std::filesystem::exists(path, ignored)) return true;
    fmt::print(stderr, "gapwright: {} is there already: name another file, or add --replace\n",
               path.string());
    return false;
}

bool write_file(const std::filesystem::path& path, const std::string& text) {
    const auto saved = save_at(path, text, {.outlasts = false});
    if (!saved) fmt::print(stderr, "gapwright: {}\n", saved.error());
    return saved.has_value();
}

bool write_pictures(const std::vector<const NamedPicture*>& pictures,
                    const PictureFolders& folders) {
    return write_as(pictures, folders.svg, ".svg", as_it_is) &&
           write_as(pictures, folders.png, ".png", png_of) &&
           write_as(pictures, folders.pdf, ".pdf", pdf_of);
}

bool write_pictures(const std::vector<NamedPicture>& pictures, const PictureFolders& folders) {
    std::vector<const NamedPicture*> all;
    for (const auto& picture : pictures) all.push_back(&picture);
    return write_pictures(all, folders);
}

}  // namespace gapwright
