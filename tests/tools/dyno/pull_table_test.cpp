// Files of pulls as loggers write them, and wrong ones: every fault with line and column.
#include "tools/dyno/pull_table.hpp"

#include <doctest/doctest.h>
#include <string>

using namespace pulsewright;
using tools::PullFileError;
using tools::PullTable;

namespace {

const std::vector<std::string> wanted{"RPM", "Torque"};

std::string message_of(const std::string& text) {
  try {
    const PullTable table(text, "a.csv", wanted);
    return "";
  } catch (const PullFileError& error) {
    return error.what();
  }
}

bool starts_with(const std::string& text, const std::string& start) {
  return text.compare(0, start.size(), start) == 0;
}

}  // namespace

TEST_CASE("pull table: separators, comments, preamble, units, quotes") {
  for (const std::string text :
       {"# a comment\nRPM [rpm],Torque [lb ft]\n3000,200\n\n4000,210\n",
        "Date;today\nrun;7\nrpm;Oil;torque\nrpm;degC;lb ft\n3000;90;200\n# stopped\n4000;91;210\n",
        "\xef\xbb\xbf\"RPM\"\t\"Torque (lb ft)\"\r\n3000\t200\r\n4000\t210\r\n",
        "Note,\"a, b\"\"c\",RPM,Torque\n,,rpm,lb ft\nx,\"1,2\",3000,200\ny,z,4000,\" 210 \"\n"}) {
    CAPTURE(text);
    const PullTable table(text, "a.csv", wanted);
    REQUIRE(table.rows() == 2);
    CHECK(table.unit(1) == "lb ft");
    CHECK(table.cell(1, 0).text == "4000");
    CHECK(table.cell(1, 1).text == "210");
  }
}

TEST_CASE("pull table: a unit with a digit is a unit") {
  const PullTable table("RPM,Torque,Air\nrpm,N m,m3/h\n3000,200,10\n", "a.csv",
                        {"RPM", "Torque", "Air"});
  CHECK(table.rows() == 1);
  CHECK(table.unit(2) == "m3/h");
}

TEST_CASE("pull table: the place of a cell is that of the file") {
  const PullTable table("#\nRPM,Torque\n3000, 200\n4000,210\n", "a.csv", wanted);
  CHECK(table.cell(1, 1).line == 4);
  CHECK(table.cell(1, 1).column == 6);
}

TEST_CASE("pull table: what is wrong, with line and column") {
  // No such heading, with the nearest one.
  CHECK(starts_with(message_of("RPM,Torq\n1,2\n"), "a.csv:1:1: no row has the headings 'RPM', 'T"));
  CHECK(message_of("RPM,Torq\n1,2\n").find("did you mean it") != std::string::npos);
  // Decimal commas with commas between the columns: one cell too many on line 3.
  const std::string commas = message_of("RPM,Torque\n3000,200\n3100,201,5\n");
  CHECK(starts_with(commas, "a.csv:3:10: the row has 3 cells, the headings have 2"));
  CHECK(commas.find("decimal commas") != std::string::npos);
  CHECK(starts_with(message_of("RPM,Torque\n3000\n"), "a.csv:2:1: the row has 1 cell"));
  CHECK(starts_with(message_of("RPM,Torque,Torque\n1,2,3\n"), "a.csv:1:12: a second column"));
  CHECK(starts_with(message_of("RPM,Torque\n1,\"2\n"), "a.csv:2:3: a double quote stays open"));
  CHECK(starts_with(message_of("RPM,Torque\n1,\"2\"x\n"), "a.csv:2:6: text stands behind"));
  CHECK(starts_with(message_of("RPM,Torque\n"), "a.csv:1:1: no numbers"));
  CHECK(starts_with(message_of(""), "a.csv:1:1: no row has the headings"));
}
