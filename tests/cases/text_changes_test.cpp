// Changes of a case's text: what is changed, and that nothing else is. Expected texts are written
// by hand.
#include "cases/text_changes.hpp"

#include <doctest/doctest.h>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <toml++/toml.h>
#include <vector>

#include "cases/case_error.hpp"
#include "cases/case_text.hpp"
#include "cases/table_blocks.hpp"

using namespace pulsewright::cases;

namespace {

constexpr const char* two_headers = R"(# top
title = "t" # the name

# the air
[ambient]
pressure = "1 bar"   # at the track

[engine]
banks = { left = [1, 3], right = [2, 4] }

[exhaust]
bends = [{ angle = "90 deg", radius = "3 in" }, { angle = "45 deg", radius = "3 in" }]

# first
[[header]]
name = "a"
primary_length = "32 in"

[[header.part]]
kind = "pipe"

# second
[[header]]
name = "b"
bends = [
  { angle = "90 deg", radius = "3 in" }, # out of the head
  { angle = "60 deg", radius = "4 in" },
]

# speeds
[run]
from = "3000 rpm"
)";

std::string once_replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  REQUIRE_MESSAGE(at != std::string::npos, from);
  REQUIRE(text.find(from, at + 1) == std::string::npos);
  return text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("a value is changed where it stands") {
  const std::string text = two_headers;
  CHECK(with_key(text, "title", R"("u")") == once_replaced(text, R"("t" #)", R"("u" #)"));
  CHECK(with_key(text, "ambient.pressure", R"("0.98 bar")") ==
        once_replaced(text, R"("1 bar"   #)", R"("0.98 bar"   #)"));
  CHECK(with_key(text, "header[1].primary_length", R"("30 in")") ==
        once_replaced(text, R"("32 in")", R"("30 in")"));
  CHECK(with_key(text, "header[2].bends[2].angle", R"("55 deg")") ==
        once_replaced(text, R"("60 deg")", R"("55 deg")"));
  CHECK(with_key(text, "exhaust.bends[2].radius", R"("2 in")") ==
        once_replaced(text, R"("45 deg", radius = "3 in")", R"("45 deg", radius = "2 in")"));
  CHECK(with_key(text, "engine.banks", "{ left = [1, 2], right = [3, 4] }") ==
        once_replaced(text, "{ left = [1, 3], right = [2, 4] }",
                      "{ left = [1, 2], right = [3, 4] }"));
}

TEST_CASE("a new key stands behind the last one of its table") {
  const std::string text = two_headers;
  CHECK(with_key(text, "ambient.temperature", R"("20 degC")") ==
        once_replaced(text, "# at the track\n", "# at the track\ntemperature = \"20 degC\"\n"));
  CHECK(with_key(text, "header[1].collector_length", R"("1 m")") ==
        once_replaced(text, "\"32 in\"\n", "\"32 in\"\ncollector_length = \"1 m\"\n"));
  CHECK(with_key(text, "header[2].primary_length", R"("1 m")") ==
        once_replaced(text, "4 in\" },\n]\n", "4 in\" },\n]\nprimary_length = \"1 m\"\n"));
  CHECK(with_key(text, "invented", "true") ==
        once_replaced(text, "# the name\n", "# the name\ninvented = true\n"));
  CHECK(with_key(text, "sound.distance", R"("1 m")") == text + "\n[sound]\ndistance = \"1 m\"\n");
  CHECK(with_key(text, "exhaust_valve.cam.lift", R"("9 mm")") ==
        text + "\n[exhaust_valve.cam]\nlift = \"9 mm\"\n");
  CHECK(with_key("[a]\n[b]\n", "a.x", "1") == "[a]\nx = 1\n[b]\n");
  CHECK(with_key("", "a", "1") == "a = 1\n");
}

TEST_CASE("a key, an element and a table are taken away") {
  const std::string text = two_headers;
  CHECK(without_key(text, "ambient.pressure") ==
        once_replaced(text, "pressure = \"1 bar\"   # at the track\n", ""));
  CHECK(without_key(text, "exhaust.bends[1]") ==
        once_replaced(text, R"({ angle = "90 deg", radius = "3 in" }, { angle = "45 deg")",
                      R"({ angle = "45 deg")"));
  CHECK(without_key(text, "exhaust.bends[2]") ==
        once_replaced(text, R"(, { angle = "45 deg", radius = "3 in" })", ""));
  CHECK(without_key(text, "exhaust.bends[1].radius") ==
        once_replaced(text, R"({ angle = "90 deg", radius = "3 in" }, { angle = "45)",
                      R"({ angle = "90 deg" }, { angle = "45)"));
  CHECK(without_key(text, "header[1].part[1]") ==
        once_replaced(text, "[[header.part]]\nkind = \"pipe\"\n\n", ""));
  CHECK(without_key(text, "ambient") ==
        once_replaced(text, "# the air\n[ambient]\npressure = \"1 bar\"   # at the track\n\n", ""));
  CHECK_THROWS_AS(without_key(text, "ambient.altitude"), std::invalid_argument);
}

TEST_CASE("one table more") {
  const std::string text = two_headers;
  CHECK(
      with_table(text, "exhaust.bends", R"({ angle = "30 deg" })", false) ==
      once_replaced(text, R"(radius = "3 in" }])", R"(radius = "3 in" }, { angle = "30 deg" }])"));
  CHECK(with_table(text, "header[2].bends", R"({ angle = "30 deg" })", false) ==
        once_replaced(text, "4 in\" },\n", "4 in\" },\n  { angle = \"30 deg\" },\n"));
  CHECK(with_table(text, "header[1].bends", R"({ angle = "30 deg" })", false) ==
        once_replaced(text, "\"32 in\"\n", "\"32 in\"\nbends = [{ angle = \"30 deg\" }]\n"));
  CHECK(with_table(text, "header[1].part", R"({ kind = "pipe", length = "1 m" })", true) ==
        once_replaced(text, "kind = \"pipe\"\n",
                      "kind = \"pipe\"\n\n[[header.part]]\nkind = \"pipe\"\nlength = \"1 m\"\n"));
  CHECK(
      with_table(text, "header[2].part", R"({ kind = "pipe" })", true) ==
      once_replaced(text, "4 in\" },\n]\n", "4 in\" },\n]\n\n[[header.part]]\nkind = \"pipe\"\n"));
  CHECK(with_table(text, "tune.fits", R"({ cylinders = [1] })", true) ==
        text + "\n[[tune.fits]]\ncylinders = [1]\n");
}

TEST_CASE("headers are copied, renamed and removed") {
  const std::string text = two_headers;
  CHECK(with_header_copy(text, "a", "c") ==
        once_replaced(text, "kind = \"pipe\"\n",
                      "kind = \"pipe\"\n\n[[header]]\nname = \"c\"\nprimary_length = \"32 in\"\n\n"
                      "[[header.part]]\nkind = \"pipe\"\n"));
  CHECK(with_header_renamed(text, "b", "x \\ \"y\"") ==
        once_replaced(text, "\"b\"", R"("x \\ \"y\"")"));
  CHECK(without_header(text, "a") ==
        once_replaced(text,
                      "# first\n[[header]]\nname = \"a\"\nprimary_length = \"32 in\"\n\n"
                      "[[header.part]]\nkind = \"pipe\"\n\n",
                      ""));
  const std::string named = text + "[tune]\nheader = \"a\"\n\n[[dyno]]\nheader = \"a\"\n";
  const std::string renamed = with_header_renamed(named, "a", "z");
  CHECK(renamed.find("\"a\"") == std::string::npos);
  CHECK(with_header_renamed(renamed, "z", "a") == named);
  CHECK_THROWS_AS(without_header(text, "z"), std::invalid_argument);
  CHECK_THROWS_AS(with_header_copy(text, "a", "b"), std::invalid_argument);
  CHECK_THROWS_AS(with_header_copy(text, "a", "a"), std::invalid_argument);
  CHECK_THROWS_AS(with_header_renamed(text, "a", "b"), std::invalid_argument);
  CHECK(with_header_renamed(text, "a", "a") == text);
}

TEST_CASE("line ends and a byte-order mark stay as they are") {
  const auto windows = [](const std::string& text) {
    std::string out = "\xef\xbb\xbf";
    for (const char c : text) out += c == '\n' ? "\r\n" : std::string(1, c);
    return out;
  };
  const std::string text = two_headers, other = windows(text);
  CHECK(with_key(other, "title", "\"u\"") == windows(with_key(text, "title", "\"u\"")));
  CHECK(with_key(other, "ambient.temperature", "\"20 degC\"") ==
        windows(with_key(text, "ambient.temperature", "\"20 degC\"")));
  CHECK(with_key(other, "sound.distance", "\"1 m\"") ==
        windows(with_key(text, "sound.distance", "\"1 m\"")));
  CHECK(without_key(other, "ambient") == windows(without_key(text, "ambient")));
  CHECK(with_table(other, "header[2].bends", R"({ angle = "30 deg" })", false) ==
        windows(with_table(text, "header[2].bends", R"({ angle = "30 deg" })", false)));
  CHECK(with_header_copy(other, "a", "c") == windows(with_header_copy(text, "a", "c")));
  CHECK(with_header_renamed(other, "a", "c") == windows(with_header_renamed(text, "a", "c")));
  CHECK(without_header(other, "a") == windows(without_header(text, "a")));
}

TEST_CASE("what cannot be changed is refused") {
  const std::string text = two_headers;
  CHECK_THROWS_AS(with_key(text, "ambient", "1"), std::invalid_argument);
  CHECK_THROWS_AS(with_key(text, "ambient.pressure", "\"1\"\nx = 2"), std::invalid_argument);
  CHECK_THROWS_AS(with_key(text, "ambient.pressure", "bar"), std::invalid_argument);
  CHECK_THROWS_AS(with_key(text, "header[3].name", "\"x\""), std::invalid_argument);
  CHECK_THROWS_AS(with_key(text, "header[0].name", "\"x\""), std::invalid_argument);
  CHECK_THROWS_AS(with_key(text, "header[1", "\"x\""), std::invalid_argument);
  CHECK_THROWS_AS(with_key(text, "title.x", "1"), std::invalid_argument);
  CHECK_THROWS_AS(with_key("a.b.c = 1\n", "a.b.d", "2"), std::invalid_argument);
  CHECK_THROWS_AS(with_key("a = [", "a", "2"), CaseError);
  CHECK_THROWS_AS(with_header_copy("header = [{ name = \"a\" }]\n", "a", "b"),
                  std::invalid_argument);
}

namespace {

// Calls check(key, value, whether it stands in a table) for every value that stands beside its key
// or in a list, at every depth.
template <class Check>
void for_values(const toml::node& node, const std::string& path, bool in_table,
                const Check& check) {
  const auto* table = node.as_table();
  const auto* list = node.as_array();
  const bool heading = (table != nullptr && !table->is_inline()) ||
                       (list != nullptr && !list->empty() && list->get(0)->is_table() &&
                        !list->get(0)->as_table()->is_inline());
  if (!heading) check(path, node, in_table);
  if (table != nullptr) {
    for (const auto& [name, value] : *table) {
      const std::string key(name.str());
      for_values(value, path.empty() ? key : path + "." + key, true, check);
    }
  } else if (list != nullptr) {
    for (std::size_t i = 0; i < list->size(); ++i) {
      for_values(*list->get(i), path + "[" + std::to_string(i + 1) + "]", false, check);
    }
  }
}

std::vector<std::string> shipped_texts() {
  std::vector<std::string> texts;
  for (const auto& entry : std::filesystem::directory_iterator(
           std::filesystem::path(PULSEWRIGHT_SOURCE_DIR) / "cases")) {
    if (entry.path().extension() == ".toml") texts.push_back(read_text_file(entry.path()));
  }
  return texts;
}

}  // namespace

// Every value of every shipped case, in every table, list and header: written anew as it stands,
// the text is the same; taken away and set again, the file says the same.
TEST_CASE("every value of the shipped cases can be written") {
  std::size_t values = 0;
  for (const std::string& text : shipped_texts()) {
    const toml::table root = toml::parse(text);
    for_values(root, "", true, [&](const std::string& key, const toml::node& value, bool in_table) {
      CAPTURE(root["title"].value_or(std::string()));
      CAPTURE(key);
      const std::size_t from = offset_of(text, value.source().begin);
      const std::string written = text.substr(from, offset_of(text, value.source().end) - from);
      CHECK(with_key(text, key, written) == text);
      if (in_table) {
        CHECK((toml::parse(with_key(without_key(text, key), key, written)) == root));
      }
      ++values;
    });
  }
  CHECK(values > 1000);
}

TEST_CASE("a header of the shipped cases that is copied and removed leaves the file as it was") {
  std::size_t headers = 0;
  for (const std::string& text : shipped_texts()) {
    const toml::table root = toml::parse(text);
    for (const toml::node& header : *root["header"].as_array()) {
      const std::string name = header.as_table()->get("name")->value_or(std::string());
      CAPTURE(root["title"].value_or(std::string()));
      CAPTURE(name);
      const std::string copied = with_header_copy(text, name, "copy");
      CHECK(copied.size() > text.size());
      CHECK(without_header(copied, "copy") == text);
      ++headers;
    }
  }
  CHECK(headers > 20);
}
