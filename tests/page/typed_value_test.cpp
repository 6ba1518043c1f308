// What is typed on the page, and what stands in the file after it.
#include "page/typed_value.hpp"

#include <set>

#include "card/points.hpp"
#include "link/file_table.hpp"
#include "link/need_roles.hpp"
#include "page/point_settings.hpp"
#include "page_scene.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr const char* link_file = "bell-hammer.link.toml";

class TypedValues : public testing::Test {
  protected:
    TypedValues() { take(link_file, ""); }

    // Goes on with an example and further text behind it.
    void take(const std::string& example, const std::string& further) {
        file = "link-" + std::to_string(++taken) + ".link.toml";
        scene.copy_example(example, file);
        scene.write(file, scene.read(file) + further);
        path = "/api/links/" + scene.id_of(file);
        view = scene.get(path);
        before = view["text"];
    }

    Reply asked(const std::string& action, const AskedJson& at, const std::string& text) {
        return scene.post_reply(path + action, trial(view, at, text));
    }

    // Types a value and returns it as it then stands in the file.
    std::string written(const AskedJson& at, const std::string& text) {
        const Reply reply = asked("/edit", at, text);
        EXPECT_EQ(reply.status, 200) << text << ": " << reply.body;
        if (reply.status != 200) return {};
        view = AskedJson::parse(reply.body);
        EXPECT_EQ(scene.read(file), view["text"].get<std::string>());
        const auto document =
            read_toml(std::make_shared<const SourceText>("one", view["text"].get<std::string>()));
        const auto* value = document ? value_at(document->root, *path_of(at)) : nullptr;
        if (value == nullptr) return "nothing";
        return value->text() ? *value->text() : std::string(value->type_name());
    }

    static std::optional<TomlPath> path_of(const AskedJson& at) {
        TomlPath result;
        for (const auto& step : at) {
            if (step.is_string()) {
                result.emplace_back(step.get<std::string>());
            } else {
                result.emplace_back(step.get<std::size_t>());
            }
        }
        return result;
    }

    PageScene scene;
    int taken = 0;
    std::string file;
    std::string path;
    AskedJson view;
    std::string before;
};

struct TypedRow {
    AskedJson at;
    std::string typed;
    std::string written;
};

TEST_F(TypedValues, AreWrittenAsFilesWriteThem) {
    const AskedJson value = {"parts", "R1", "value"};
    const TypedRow rows[] = {
        {value, "470", "470 Ω"},
        {value, "470 5%", "470 Ω ± 5 %"},
        {value, "1,5 kΩ", "1.5 kΩ"},
        {value, "100 R", "100 Ω"},
        {value, "2k2", "2k2"},
        {value, "choose", "choose"},
        {{"parts", "R1", "power"}, "1/4 W", "0.25 W"},
        {{"parts", "U1", "ctr"}, "120% (80-160%) @ 5mA, 5v", "120 % (80 .. 160 %) at 5 mA, 5 V"},
        {{"parts", "K1", "pull_in"}, "16", "16 V"},
        {{"input", "supply"}, "12v", "12 V"},
        {{"output", "supply"}, "7 - 9.6 V", "7 .. 9.6 V"},
        {{"surroundings", "temperature"}, "-10 to 45", "-10 .. 45 °C"},
        {{"surroundings", "light"}, "0 - 300 lux", "0 .. 300 lx"},
        {{"surroundings", "duty"}, "5", "5 %"},
        {{"surroundings", "reserve"}, "20%", "20 %"},
        {{"surroundings", "stretch"}, "1.2", "1.2"},
        {{"surroundings", "service"}, "10 yrs", "10 years"},
        {{"promise", 0, "at_least"}, "16.5", "16.5 V"},
        {{"title"}, "5v", "5v"},  // no quantity
        {{"promise", 0, "state"}, "on", "on"},
    };
    for (const TypedRow& row : rows) {
        EXPECT_EQ(written(row.at, row.typed), row.written) << row.typed;
    }
    EXPECT_EQ(written({"parts", "R1", "value"}, "470"), "470 Ω");
    EXPECT_EQ(view["undo"], "R1 value: choose to 470 Ω");
    EXPECT_EQ(view["problems"].size(), 0U) << view["problems"].dump();
}

// A duty by states is shown as the file has it, and stays a table when it is typed anew.
TEST_F(TypedValues, DutyByStates) {
    const AskedJson duty = {"surroundings", "duty"};
    const std::string table = R"({ on = "5 %", off = "60 %" })";
    EXPECT_EQ(written(duty, table), "a table");
    EXPECT_EQ(view["problems"].size(), 0U) << view["problems"].dump();
    const auto field_text = [&]() -> std::string {
        for (const auto& group : view["settings"]) {
            for (const auto& field : group["fields"]) {
                if (field["at"] == duty) return field["text"];
            }
        }
        return "no such field";
    };
    EXPECT_EQ(field_text(), table);
    EXPECT_EQ(written(duty, "5"), "5 %");
    EXPECT_EQ(field_text(), "5 %");
}

TEST_F(TypedValues, AreTriedAsTheyWillBeWritten) {
    const Reply reply = asked("/try", {"parts", "R1", "value"}, "470");
    ASSERT_EQ(reply.status, 200) << reply.body;
    const auto tried = AskedJson::parse(reply.body);
    EXPECT_FALSE(tried["judgement"].is_null());
    EXPECT_NE(tried["text"].get<std::string>().find("\"470 Ω\""), std::string::npos);
    EXPECT_EQ(scene.read(file), before);
}

// What files take in one way and people may mean in another.
TEST_F(TypedValues, AreRefusedWhereTheyMayMeanSomethingElse) {
    for (const auto& [at, typed, remedy] :
         {std::tuple(AskedJson{"surroundings", "duty"}, "0.5", R"(write "50 %" or "0.5 %")"),
          std::tuple(AskedJson{"surroundings", "reserve"}, "1", R"(write "100 %" or "1 %")")}) {
        const Reply reply = asked("/edit", at, typed);
        EXPECT_EQ(reply.status, 422) << typed;
        EXPECT_EQ(AskedJson::parse(reply.body)["remedy"], remedy);
    }
    EXPECT_EQ(scene.read(file), before);
    take("pendulum-beat.link.toml", "");
    const Reply reply = asked("/edit", {"parts", "U1", "distance"}, "5m");
    EXPECT_EQ(reply.status, 422);
    EXPECT_EQ(AskedJson::parse(reply.body)["remedy"], R"(write "5 mm" or "5 m")");
    EXPECT_EQ(written({"parts", "U1", "distance"}, "12 MM"), "12 mm");
    EXPECT_EQ(written({"parts", "U1", "shroud"}, "90"), "90 %");
}

// What is not understood stays as it was typed, and the file's reader tells what to write.
TEST_F(TypedValues, ThatCannotBeWrittenAreToldWithTheirRemedy) {
    const TypedRow rows[] = {
        {{"parts", "R1", "value"}, "1,500", R"(write "1.500 Ω" or "1500 Ω")"},
        {{"parts", "R1", "power"}, "70", R"(write "70 W" or "70 mW")"},
        {{"surroundings", "service"}, "6 months", R"(write "0.5 years")"},
        {{"parts", "U1", "forward_current"}, "20", R"(write "20 mA" or "20 A")"},
    };
    for (const TypedRow& row : rows) {
        EXPECT_EQ(written(row.at, row.typed), row.typed);
        ASSERT_EQ(view["problems"].size(), 1U) << row.typed << view["problems"].dump();
        EXPECT_EQ(view["problems"][0]["at"], row.at);
        EXPECT_EQ(view["problems"][0]["remedy"], row.written);
        view = scene.post(path + "/undo");
    }
}

TEST_F(TypedValues, OfANewPromiseAreRewrittenToo) {
    AskedJson order = {{"edits",
                        {{{"append", {"promise"}},
                          {"values", {{"state", "on"}, {"current", "K1"}, {"at_most", "0.05a"}}}},
                         {{"append", {"promise"}},
                          {"values", {{"state", "on"}, {"power", "K1"}, {"at_most", "3/4"}}}}}},
                       {"revision", view["revision"]}};
    view = scene.post(path + "/edit", order);
    ASSERT_EQ(view["judgement"]["promises"].size(), 4U) << view["problems"].dump();
    EXPECT_EQ(view["judgement"]["promises"][2]["bounds"], "≤ 50 mA");
    EXPECT_EQ(view["judgement"]["promises"][3]["bounds"], "≤ 750 mW");
    EXPECT_NE(view["text"].get<std::string>().find("at_most = \"0.05 A\""), std::string::npos);
}

TEST_F(TypedValues, OfANeedAreRewrittenToo) {
    take("needs/bell-hammer.link.toml", "");
    EXPECT_EQ(written({"need", "rate"}, "9600 baud"), "9600 Bd");
    EXPECT_EQ(written({"need", "rate"}, "9600"), "9600 Bd");
    EXPECT_EQ(written({"need", "rate"}, "10 kHz"), "10 kHz");
    ASSERT_EQ(view["problems"].size(), 1U);
    EXPECT_EQ(view["problems"][0]["remedy"], R"(write "20 kBd": two symbols per period)");
    const AskedJson made =
        scene.post("/api/links", {{"name", "new"},
                                  {"from", "need"},
                                  {"source", ""},
                                  {"values", {{"input_supply", "5v"}, {"output_supply", "24"}}}});
    const std::string text = made["text"];
    EXPECT_NE(text.find("supply = \"5 V\""), std::string::npos) << text;
    EXPECT_NE(text.find("supply = \"24 V\""), std::string::npos) << text;
}

// Marks of a chart's axes and what points were measured at.
TEST(TypedPoints, AreUnderstoodAlike) {
    for (const auto& [quantity, typed, value] :
         {std::tuple("forward_voltage", "0,9", 0.9), std::tuple("forward_current", "20 ma", 0.02),
          std::tuple("temperature", "25", 298.15)}) {
        const auto read = point_quantity(*find_point_quantity(quantity), typed, "a mark");
        ASSERT_TRUE(read) << typed << ": " << read.error().error;
        EXPECT_DOUBLE_EQ(*read, value);
    }
    const auto bare = point_quantity(*find_point_quantity("forward_current"), "20", "a mark");
    ASSERT_FALSE(bare);
    EXPECT_EQ(bare.error().remedy, R"(write "20 mA" or "20 A")");
}

// A whole number that no quotes belong to.
TEST_F(TypedValues, ThatAreNumbersGoWithoutQuotes) {
    take(link_file, "\n[insulation]\ngrade = \"basic\"\n");
    EXPECT_EQ(written({"insulation", "pollution_degree"}, "2"), "a whole number");
    EXPECT_EQ(view["problems"].size(), 0U) << view["problems"].dump();
}

// What a person types for a key is taken as the quantity that the readers of files ask for there.
TEST_F(TypedValues, AreOfTheKindThatTheReaderOfTheFileAsksFor) {
    std::set<std::string> told;  // keys of which the reader says that kind in some file
    std::set<std::string> all;
    const auto look_at = [&](AskedJson at, std::string_view key, Dimension dimension) {
        at.push_back(std::string(key));
        all.insert(at.dump());
        const auto wanted = quantity_at(
            *read_toml(std::make_shared<const SourceText>("one", view["text"].get<std::string>())),
            *path_of(at), {FileSort::link, scene.folder().string()});
        ASSERT_TRUE(wanted) << at;
        EXPECT_EQ(wanted->dimension, dimension) << at;
        const Reply reply = asked("/try", at, "1 zz");
        ASSERT_EQ(reply.status, 200) << at << reply.body;
        const AskedJson problems = AskedJson::parse(reply.body)["problems"];
        for (const auto& problem : problems) {
            const std::string message = problem["message"];
            if (problem["at"] == at && message.starts_with(dimension_name(dimension))) {
                told.insert(at.dump());
            }
        }
    };
    const auto look = [&](const AskedJson& around, const FileTable& table) {
        for (const FileKey& key : table.keys) {
            const bool quantity = key.takes.what == Takes::What::quantity;
            if (!quantity && key.takes.what != Takes::What::share) continue;
            ASSERT_TRUE(parse_spread(key.example, key.takes.dimension)) << key.example;
            look_at(around, key.name, key.takes.dimension);
        }
    };
    const auto look_at_part = [&](const AskedJson& around, std::span<const Role> roles) {
        for (const KeyRule* key : role_keys(roles)) {
            if (key->form == Form::quantity) look_at(around, key->name(), key->dimension);
        }
    };
    look({"surroundings"}, table_of(SurroundingsKey{}));
    take(link_file, "\n[[promise]]\nchange = [\"off\", \"on\"]\ncurrent = \"K1\"\n");
    look({"promise", 2}, table_of(PromiseKey{}));
    take(link_file, "\n[signal]\n[disturbance]\n[insulation]\n[analogue]\n[meter]\n[choose]\n");
    look({"signal"}, table_of(SignalKey{}));
    look({"disturbance"}, table_of(DisturbanceKey{}));
    look({"insulation"}, table_of(InsulationKey{}));
    look({"analogue"}, table_of(AnalogueKey{}));
    look({"meter"}, table_of(MeterKey{}));
    look({"choose"}, table_of(ChooseKey{}));  // without a drawer; the gap's in a need
    for (const char* load : {R"({ card = "relay-coil-24v" })", R"({ card = "logic-input-5v" })",
                             R"({ kind = "indicator", card = "red-led", current = "5 mA" })",
                             R"({ kind = "load", resistance = "1 kΩ", current = "10 mA" })"}) {
        take("needs/bell-hammer.link.toml", "");
        view = AskedJson::parse(asked("/edit", {"need", "load"}, load).body);
        ASSERT_EQ(view["problems"].size(), 0U) << view["problems"];
        look({"need", "load"}, table_of(LoadKey{}));
        look_at_part({"need", "load"}, load_roles());
    }
    look({"need"}, table_of(NeedKey{}));
    look({"choose"}, table_of(ChooseKey{}));
    for (const char* drive : {R"({ card = "logic-output-5v" })", R"({ kind = "contact" })"}) {
        view = AskedJson::parse(asked("/edit", {"need", "drive"}, drive).body);
        look_at_part({"need", "drive"}, drive_roles());
    }
    EXPECT_EQ(told, all);
    EXPECT_GT(all.size(), 50U);
}

}  // namespace
}  // namespace gapwright
