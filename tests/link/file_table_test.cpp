// The table of the link file's keys against what readers make of files.
#include "link/file_table.hpp"

#include <gtest/gtest.h>

#include <string>

#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;

// A table with all of its keys, with what `value` makes of each; without those of which it makes
// nothing.
template <class Value>
std::string written(const FileTable& table, Value value) {
    std::string text = "[" + std::string(table.name) + "]\n";
    for (const FileKey& key : table.keys) {
        const std::string toml = value(key);
        if (!toml.empty()) text += std::string(key.name) + " = " + toml + "\n";
    }
    return text;
}

std::string examples(const FileTable& table) {
    return written(table, toml_example);
}

std::string standards(const FileTable& table) {
    return written(table, [](FileKey key) {
        if (key.standard.empty() || key.standard == "none" || key.standard == "not known") {
            return std::string();
        }
        key.example = key.standard;
        return toml_example(key);
    });
}

TEST(FileTable, EveryExampleIsTaken) {
    for (const FileTable* table : {&table_of(SurroundingsKey{}), &table_of(DisturbanceKey{}),
                                   &table_of(InsulationKey{}), &table_of(MeterKey{})}) {
        const auto link = link_from(plain_link() + examples(*table));
        EXPECT_TRUE(link) << to_text(link.error());
    }
}

TEST(FileTable, EveryWordOfEveryChoiceIsTaken) {
    for (const FileKey& key : table_of(InsulationKey{}).keys) {
        for (const std::string& word : split_words(key.takes.words)) {
            const auto link = link_from(plain_link() + "[insulation]\n" + std::string(key.name) +
                                        " = \"" + word + "\"\n");
            EXPECT_TRUE(link) << to_text(link.error());
        }
    }
    for (const std::string& word : split_words(row_of(ChooseKey::series).takes.words)) {
        const auto link = link_from(plain_link() + "[choose]\nseries = \"" + word + "\"\n");
        ASSERT_TRUE(link) << to_text(link.error());
        EXPECT_EQ("E" + std::to_string(link->stock.series), word);
    }
}

TEST(FileTable, SaysOfTheMeterWhatCountsWhereNothingIsStated) {
    const auto link = link_from(plain_link() + standards(table_of(MeterKey{})));
    ASSERT_TRUE(link) << to_text(link.error());
    const Meter& stated = link->meter;
    const Meter otherwise;
    const auto same = [](const Accuracy& one, const Accuracy& other) {
        EXPECT_DOUBLE_EQ(one.share, other.share);
        EXPECT_DOUBLE_EQ(one.digits, other.digits);
    };
    same(stated.voltage, otherwise.voltage);
    same(stated.current, otherwise.current);
    same(stated.resistance, otherwise.resistance);
    EXPECT_EQ(stated.counts, otherwise.counts);
    EXPECT_DOUBLE_EQ(stated.input_resistance, otherwise.input_resistance);
    EXPECT_DOUBLE_EQ(stated.burden_voltage, otherwise.burden_voltage);
    EXPECT_DOUBLE_EQ(stated.test_voltage, otherwise.test_voltage);
    EXPECT_DOUBLE_EQ(stated.junction_voltage, otherwise.junction_voltage);
    EXPECT_DOUBLE_EQ(stated.junction_current, otherwise.junction_current);
}

TEST(FileTable, SaysOfSurroundingsAndInsulationWhatCountsWhereNothingIsStated) {
    const auto link = link_from(plain_link() + standards(table_of(SurroundingsKey{})) +
                                standards(table_of(InsulationKey{})));
    ASSERT_TRUE(link) << to_text(link.error());
    const Surroundings& stated = link->surroundings;
    const Surroundings otherwise;
    EXPECT_DOUBLE_EQ(stated.temperature.lowest, otherwise.temperature.lowest);
    EXPECT_DOUBLE_EQ(stated.temperature.highest, otherwise.temperature.highest);
    EXPECT_DOUBLE_EQ(stated.light.highest, otherwise.light.highest);
    EXPECT_EQ(stated.working_voltage, otherwise.working_voltage);
    EXPECT_DOUBLE_EQ(stated.service, otherwise.service);
    EXPECT_DOUBLE_EQ(stated.reserve, otherwise.reserve);
    EXPECT_DOUBLE_EQ(stated.stretch, otherwise.stretch);
    const Insulation insulation;
    EXPECT_EQ(link->insulation->grade, insulation.grade);
    EXPECT_EQ(link->insulation->overvoltage_category, insulation.overvoltage_category);
    EXPECT_EQ(link->insulation->pollution_degree, insulation.pollution_degree);
    EXPECT_EQ(link->insulation->group, insulation.group);
}

TEST(FileTable, AMisspeltKeyIsToldWithTheNearest) {
    for (const FileTable* table :
         {&table_of(SurroundingsKey{}), &table_of(DisturbanceKey{}), &table_of(InsulationKey{}),
          &table_of(MeterKey{}), &table_of(SignalKey{}), &table_of(AnalogueKey{})}) {
        for (const FileKey& key : table->keys) {
            const auto link = link_from(plain_link() + "[" + std::string(table->name) + "]\n" +
                                        std::string(key.name) + "x = \"1\"\n");
            ASSERT_FALSE(link);
            const std::string told = to_text(link.error());
            EXPECT_NE(told.find("did you mean \"" + std::string(key.name) + "\""),
                      std::string::npos)
                << told;
        }
    }
}

}  // namespace
}  // namespace gapwright
