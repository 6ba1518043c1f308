// Pictures: what comes out of good ones, and that bad ones are errors that cost nothing.
#include "chart/raster.hpp"

#include <gtest/gtest.h>

#include <fstream>

#include "synthetic_chart.hpp"

namespace gapwright::testing {
namespace {

std::vector<std::uint8_t> pattern(int width, int height) {
    std::vector<std::uint8_t> rgb;
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            rgb.push_back(static_cast<std::uint8_t>(4 * x));
            rgb.push_back(static_cast<std::uint8_t>(4 * y));
            rgb.push_back(static_cast<std::uint8_t>(2 * (x + y)));
        }
    }
    return rgb;
}

Cause cause_of(std::string_view bytes) {
    const auto raster = decode_raster(bytes, "chart.png");
    if (raster) {
        ADD_FAILURE() << "was read";
        return Cause::contradiction;
    }
    EXPECT_NE(to_text(raster.error()).find("chart.png"), std::string::npos);
    EXPECT_FALSE(raster.error().front().remedy.empty());
    return raster.error().front().cause;
}

// Peak of resident memory in KiB since the last call; Linux resets it on request.
long peak_memory() {
    std::ifstream status("/proc/self/status");
    std::string line;
    long kib = 0;
    while (std::getline(status, line)) {
        if (line.starts_with("VmHWM:")) kib = std::stol(line.substr(6));
    }
    std::ofstream("/proc/self/clear_refs") << "5";
    return kib;
}

std::uint32_t crc_of(std::string_view bytes) {
    std::uint32_t crc = 0xffffffffU;
    for (const char c : bytes) {
        crc ^= static_cast<std::uint8_t>(c);
        for (int k = 0; k < 8; ++k) crc = (crc >> 1U) ^ ((crc & 1U) != 0 ? 0xedb88320U : 0U);
    }
    return ~crc;
}

std::string big_endian(std::uint32_t value) {
    std::string bytes;
    for (const unsigned shift : {24U, 16U, 8U, 0U}) bytes += static_cast<char>(value >> shift);
    return bytes;
}

std::string png_chunk(const std::string& type, const std::string& data) {
    return big_endian(static_cast<std::uint32_t>(data.size())) + type + data +
           big_endian(crc_of(type + data));
}

std::string png_head(std::uint32_t width, std::uint32_t height) {
    return "\x89PNG\r\n\x1a\n" + png_chunk("IHDR", big_endian(width) + big_endian(height) +
                                                       std::string("\x08\x02\0\0\0", 5));
}

TEST(Raster, ReadsPngToTheByte) {
    const auto rgb = pattern(61, 43);
    const auto raster = decode_raster(png_of(rgb, 61, 43), "chart.png");
    ASSERT_TRUE(raster) << to_text(raster.error());
    EXPECT_EQ(raster->width, 61);
    EXPECT_EQ(raster->height, 43);
    EXPECT_EQ(raster->rgb, rgb);
}

// The colour types that a PNG's head states.
constexpr int grey = 0, rgb_colours = 2, palette_colours = 3, grey_alpha = 4, rgb_alpha = 6;

std::vector<std::vector<std::uint8_t>> rows_of(const std::vector<std::uint8_t>& samples,
                                               std::size_t a_row) {
    std::vector<std::vector<std::uint8_t>> rows;
    for (std::size_t k = 0; k < samples.size(); k += a_row) {
        rows.emplace_back(samples.begin() + static_cast<std::ptrdiff_t>(k),
                          samples.begin() + static_cast<std::ptrdiff_t>(k + a_row));
    }
    return rows;
}

TEST(Raster, ReadsInterlacedPng) {
    const auto rgb = pattern(37, 29);
    const auto raster = decode_raster(
        png_of_kind({.colour = rgb_colours, .interlaced = true}, rows_of(rgb, 37 * 3), 37), "p");
    ASSERT_TRUE(raster) << to_text(raster.error());
    EXPECT_EQ(raster->rgb, rgb);
}

TEST(Raster, ReadsPngOfSixteenBits) {
    const auto rgb = pattern(21, 17);
    std::vector<std::uint8_t> wide;
    for (const std::uint8_t sample : rgb) wide.insert(wide.end(), {sample, sample});
    for (const bool interlaced : {false, true}) {
        const auto raster = decode_raster(
            png_of_kind({.depth = 16, .colour = rgb_colours, .interlaced = interlaced},
                        rows_of(wide, 21 * 6), 21),
            "p");
        ASSERT_TRUE(raster) << to_text(raster.error());
        EXPECT_EQ(raster->rgb, rgb);
    }
}

TEST(Raster, ReadsPalettesWithTransparencyOnWhite) {
    const PngKind kind{.depth = 2,
                       .colour = palette_colours,
                       .palette = {{10, 20, 30}, {200, 0, 0}, {0, 0, 250}},
                       .palette_alpha = {255, 0}};
    // four pixels a byte: 0 1 2 0, and the other way round
    const auto raster = decode_raster(png_of_kind(kind, {{0b00011000}, {0b00100100}}, 4), "p");
    ASSERT_TRUE(raster) << to_text(raster.error());
    const std::vector<std::uint8_t> expected = {10,  20,  30,  255, 255, 255, 0,  0,
                                                250, 10,  20,  30,  10,  20,  30, 0,
                                                0,   250, 255, 255, 255, 10,  20, 30};
    EXPECT_EQ(raster->rgb, expected);
}

// libpng takes such a place for black.
TEST(Raster, ReadsNothingBeyondAPalette) {
    const PngKind kind{.depth = 8, .colour = palette_colours, .palette = {{10, 20, 30}}};
    const auto raster = decode_raster(png_of_kind(kind, {{0, 200}}, 2), "p");
    ASSERT_TRUE(raster) << to_text(raster.error());
    EXPECT_EQ(raster->rgb, (std::vector<std::uint8_t>{10, 20, 30, 0, 0, 0}));
}

TEST(Raster, ReadsGreysWithAlphaOnWhite) {
    const auto raster = decode_raster(
        png_of_kind({.colour = grey_alpha}, {{100, 255, 100, 0, 0, 128, 40, 255}}, 4), "p");
    ASSERT_TRUE(raster) << to_text(raster.error());
    EXPECT_EQ(raster->pixel(0, 0), (std::array<std::uint8_t, 3>{100, 100, 100}));
    EXPECT_EQ(raster->pixel(1, 0), (std::array<std::uint8_t, 3>{255, 255, 255}));
    EXPECT_NEAR(raster->pixel(2, 0)[1], 127, 1);
    EXPECT_EQ(raster->pixel(3, 0), (std::array<std::uint8_t, 3>{40, 40, 40}));
}

TEST(Raster, ReadsColoursWithAlphaAndGreysOfOneBit) {
    const auto colours =
        decode_raster(png_of_kind({.colour = rgb_alpha}, {{1, 2, 3, 255, 1, 2, 3, 0}}, 2), "p");
    ASSERT_TRUE(colours) << to_text(colours.error());
    EXPECT_EQ(colours->rgb, (std::vector<std::uint8_t>{1, 2, 3, 255, 255, 255}));
    const auto bits =
        decode_raster(png_of_kind({.depth = 1, .colour = grey}, {{0b01000000}}, 3), "p");
    ASSERT_TRUE(bits) << to_text(bits.error());
    EXPECT_EQ(bits->rgb, (std::vector<std::uint8_t>{0, 0, 0, 255, 255, 255, 0, 0, 0}));
}

TEST(Raster, RefusesTheColoursOfPrinting) {
    EXPECT_EQ(cause_of(cmyk_jpeg(16, 16)), Cause::not_a_picture);
}

TEST(Raster, RefusesJpegOfTooManyScans) {
    const auto few = decode_raster(progressive_jpeg(24, 24, 1), "p");  // 64
    ASSERT_TRUE(few) << to_text(few.error());
    EXPECT_NEAR(few->pixel(12, 12)[0], 128, 1);
    EXPECT_EQ(cause_of(progressive_jpeg(24, 24, 2)), Cause::not_a_picture);  // 128
}

TEST(Raster, ReadsJpegClosely) {
    const auto rgb = pattern(61, 43);
    const auto raster = decode_raster(jpeg_of(rgb, 61, 43, 95), "chart.jpg");
    ASSERT_TRUE(raster) << to_text(raster.error());
    ASSERT_EQ(raster->rgb.size(), rgb.size());
    double sum = 0;
    for (std::size_t k = 0; k < rgb.size(); ++k) sum += std::abs(int{raster->rgb[k]} - int{rgb[k]});
    EXPECT_LT(sum / static_cast<double>(rgb.size()), 4);
}

TEST(Raster, GoesByContentNotByName) {
    EXPECT_TRUE(decode_raster(jpeg_of(pattern(20, 20), 20, 20, 80), "chart.png"));
    EXPECT_EQ(cause_of("GIF89a and so on"), Cause::not_a_picture);
    EXPECT_EQ(cause_of("<svg xmlns=\"http://www.w3.org/2000/svg\"/>"), Cause::not_a_picture);
    EXPECT_EQ(cause_of(""), Cause::not_a_picture);
}

TEST(Raster, RefusesEveryTruncation) {
    const std::string png = png_of(pattern(40, 40), 40, 40);
    const std::string jpeg = jpeg_of(pattern(40, 40), 40, 40, 60);
    for (std::size_t k = 0; k + 12 < png.size(); k += 7) {
        EXPECT_EQ(cause_of(std::string_view(png).substr(0, k)), Cause::not_a_picture);
    }
    for (std::size_t k = 0; k + 2 < jpeg.size(); k += 7) {
        EXPECT_EQ(cause_of(std::string_view(jpeg).substr(0, k)), Cause::not_a_picture) << k;
    }
}

TEST(Raster, RefusesWrongChecksums) {
    std::string png = png_of(pattern(40, 40), 40, 40);
    png[png.size() / 2] = static_cast<char>(png[png.size() / 2] ^ 0x40);
    EXPECT_EQ(cause_of(png), Cause::not_a_picture);
}

TEST(Raster, AsksForNoMemoryForAStatedSize) {
    peak_memory();
    const long before = peak_memory();
    EXPECT_EQ(cause_of(png_head(100'000, 100'000)), Cause::too_large);
    EXPECT_EQ(cause_of(png_head(12'001, 1)), Cause::too_large);
    EXPECT_EQ(cause_of(png_head(10'000, 10'000)), Cause::too_large);
    EXPECT_EQ(cause_of(png_head(0, 10)), Cause::not_a_picture);
    std::string jpeg = jpeg_of(pattern(16, 16), 16, 16, 60);
    const auto frame = jpeg.find("\xff\xc0");
    ASSERT_NE(frame, std::string::npos);
    jpeg.replace(frame + 5, 4, "\x4e\x20\x4e\x20");
    EXPECT_EQ(cause_of(jpeg), Cause::too_large);
    EXPECT_LT(peak_memory(), before + 8 * 1024);
}

TEST(Raster, SurvivesFloodsOfChunks) {
    std::string png = png_head(8, 8);
    for (int k = 0; k < 20'000; ++k)
        png += png_chunk("tEXt", "Comment" + std::string(1, '\0') + "x");
    peak_memory();
    const long before = peak_memory();
    EXPECT_EQ(cause_of(png), Cause::not_a_picture);
    EXPECT_LT(peak_memory(), before + 8 * 1024);
}

TEST(Raster, RefusesLargeFiles) {
    EXPECT_EQ(cause_of(std::string(largest_picture_file + 1, 'x')), Cause::oversized_file);
}

TEST(Raster, TellsOfMissingFiles) {
    const auto raster = read_raster("no-such-folder/chart.png");
    ASSERT_FALSE(raster);
    EXPECT_EQ(raster.error().front().cause, Cause::unreadable_file);
}

}  // namespace
}  // namespace gapwright::testing
