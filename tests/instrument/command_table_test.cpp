// The file by which a user adds instruments, and slips in it.
#include "instrument/command_table.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace gapwright {
namespace {

Expected<CommandTable> table_from(const std::string& text) {
    return read_command_table(std::make_shared<const SourceText>("supplies.toml", text));
}

TEST(CommandTable, OverridesSingleCommandsOfWhatMatches) {
    const auto table = table_from(R"(
[[instrument]]
matches = "supply-3"
output_off = "OUTP:STAT 0"
next_error = ""
voltage_unit = "mV"
settle = "200 ms"
[[instrument]]
matches = "SUPPLY"
output_off = "OUT 0"
)");
    ASSERT_TRUE(table) << to_text(table.error());
    const Commands first = table->commands_for("MAKER,SUPPLY-3,1,2");
    EXPECT_EQ(first.output_off, "OUTP:STAT 0");
    EXPECT_EQ(first.next_error, "");
    EXPECT_EQ(first.output_on, Commands().output_on);
    EXPECT_EQ(first.volt, 1e-3);
    EXPECT_EQ(first.ampere, 1);
    EXPECT_DOUBLE_EQ(first.settle, 0.2);
    EXPECT_EQ(table->commands_for("MAKER,SUPPLY-4,1,2").output_off, "OUT 0");
    EXPECT_EQ(table->commands_for("MAKER,OTHER,1,2").output_off, "OUTP OFF");
}

TEST(CommandTable, BuiltInCommandsKeepTheRulesOfFiles) {
    std::string text = "[[instrument]]\nmatches = \"x\"\n";
    for (const CommandKey& key : command_keys()) {
        text += std::string(key.key) + " = \"" + Commands().*key.command + "\"\n";
    }
    const auto table = table_from(text);
    ASSERT_TRUE(table) << to_text(table.error());
    for (const CommandKey& key : command_keys()) {
        EXPECT_EQ(table->commands_for("X").*key.command, Commands().*key.command);
    }
}

TEST(CommandTable, SlipsAreToldWithTheirPlace) {
    struct Slip {
        std::string line;
        Cause cause;
        std::string under;
        std::string told;
    };
    const std::vector<Slip> slips = {
        {"output_offf = \"X\"", Cause::unknown_key, "output_offf", "did you mean \"output_off\""},
        {"output_off = 0", Cause::wrong_type, "0", "expected a text"},
        {"output_off = \"\"", Cause::out_of_range, "\"\"", "cannot be empty"},
        {"output_off = \"X?\"", Cause::out_of_range, "\"X?\"", "must not ask"},
        {"output_off = \"X {}\"", Cause::out_of_range, "\"X {}\"", "no number"},
        {"set_current = \"CURR\"", Cause::out_of_range, "\"CURR\"", "needs {} once"},
        {"set_current = \"C {} {}\"", Cause::out_of_range, "\"C {} {}\"", "needs {} once"},
        {"output_state = \"OUTP\"", Cause::out_of_range, "\"OUTP\"", "asks nothing"},
        {"output_on = \"A\\nB\"", Cause::out_of_range, "\"A\\nB\"", "printable"},
        {"voltage_unit = \"kV\"", Cause::wrong_unit, "\"kV\"", "V or mV"},
        {"settle = \"2 V\"", Cause::wrong_unit, "2 V", ""},
        {"settle = \"2 h\"", Cause::out_of_range, "\"2 h\"", "minute"},
        {"matches = \"\"", Cause::out_of_range, "\"\"", "every instrument"},
    };
    for (const Slip& slip : slips) {
        const bool matching = slip.line.starts_with("matches");
        const auto table =
            table_from("[[instrument]]\n" + (matching ? "" : std::string("matches = \"x\"\n")) +
                       slip.line + "\n");
        ASSERT_FALSE(table) << slip.line;
        ASSERT_EQ(table.error().size(), 1U) << to_text(table.error());
        const Diagnostic& told = table.error().front();
        EXPECT_EQ(told.cause, slip.cause) << slip.line;
        EXPECT_EQ(
            told.place.text->text().substr(told.place.begin, told.place.end - told.place.begin),
            slip.under)
            << slip.line;
        EXPECT_NE(told.message.find(slip.told), std::string::npos) << told.message;
    }
    EXPECT_EQ(table_from("[[instrument]]\n").error().front().cause, Cause::missing_key);
    EXPECT_EQ(table_from("[[instruments]]\n").error().front().cause, Cause::unknown_key);
    EXPECT_EQ(table_from("instrument = 3\n").error().front().cause, Cause::wrong_type);
    EXPECT_EQ(table_from("instrument = [3]\n").error().front().cause, Cause::wrong_type);
    EXPECT_EQ(table_from("[[instrument]\n").error().front().cause, Cause::not_toml);
}

TEST(CommandTable, NumbersAreSentPlainly) {
    EXPECT_EQ(with_number("CURR {}", 0.02), "CURR 0.02");
    EXPECT_EQ(with_number("VOLT {},1", 3), "VOLT 3,1");
    EXPECT_EQ(with_number("CURR {}", 1e-6), "CURR 0.000001");
    EXPECT_EQ(with_number("CURR {}", 20), "CURR 20");
    EXPECT_EQ(with_number("CURR {}", 0), "CURR 0");
    EXPECT_EQ(with_number("CURR {}", 0.0299999999), "CURR 0.029999");  // never more than asked
    for (int k = 1; k < 100; ++k) {
        EXPECT_EQ(with_number("{}", k / 1000.0), fmt::format("{}", k / 1000.0));
    }
}

}  // namespace
}  // namespace gapwright
