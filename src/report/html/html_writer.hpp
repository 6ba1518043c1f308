// What HTML documents share: head, sections, tables, pictures set in place. Internal to the layer.
//
// Documents are one file each: no outside resource, no script, and they print on A4 and Letter.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "draw/picture.hpp"
#include "report/html/html_report.hpp"

namespace gapwright {

class HtmlWriter {
  public:
    // Words as HTML content.
    static std::string text(std::string_view words) { return xml_escaped(words); }
    // No line breaks within a quantity: "22 kΩ ± 5 %" keeps together.
    static std::string unbroken(const std::string& words);

    // The document's head, up to and with <main>; `title` is plain words.
    void head(const std::string& title);
    // The rest; returns the document.
    std::string finish();

    // HTML as it stands.
    void put(std::string_view html) { html_ += html; }

    // One field of a <dl class="block">.
    void field(std::string_view name, const std::string& value);

    void figure(const NamedPicture& picture);
    // A section of pictures; nothing where there are none.
    void section(std::string_view name, const std::vector<NamedPicture>& pictures,
                 std::string_view css = "figures");

    void list(const std::vector<std::string>& lines, std::string_view tag = "ul");

    void table_head(const std::vector<std::string>& columns, std::string_view caption);
    void table_row(const std::vector<std::string>& cells, std::string_view css = {});
    void table_end();

  private:
    std::string html_;
};

}  // namespace gapwright
