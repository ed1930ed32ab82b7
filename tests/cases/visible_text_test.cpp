// Foreign text as a terminal may show it.
#include "cases/visible_text.hpp"

#include <doctest/doctest.h>
#include <string>

#include "cases/case_reader.hpp"
#include "tests/cases/case_sample.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::replaced;
using pulsewright::tests::sample_text;

namespace {

// Whether a terminal would show the text as it stands, but for line feeds.
bool is_plain(const std::string& text) { return find_invisible(text, "\n") == std::string::npos; }

std::string message_of(const std::string& text, const std::string& file = "bad.toml") {
  try {
    read_case_text(text, file);
  } catch (const CaseError& error) {
    return error.what();
  }
  return {};
}

}  // namespace

// Code points and their UTF-8: The Unicode Standard 15, chapters 3 and 23, from memory.
TEST_CASE("characters that a terminal obeys are shown by their code") {
  CHECK(visible("\x1b[31mred") == "\\u001b[31mred");
  CHECK(visible(std::string("a\0b", 3)) == "a\\u0000b");
  CHECK(visible("a\r\n\tb\x7f") == "a\\u000d\\u000a\\u0009b\\u007f");
  CHECK(visible("\xc2\x9b") == "\\u009b");  // control of Latin-1
  CHECK(visible("\xe2\x80\xae"
                "abc\xe2\x80\xac") == "\\u202eabc\\u202c");  // right to left
  CHECK(visible("\xe2\x81\xa6\xe2\x81\xa9\xd8\x9c") == "\\u2066\\u2069\\u061c");
  CHECK(visible("\xe2\x80\xa8\xef\xbb\xbf") == "\\u2028\\ufeff");
}

TEST_CASE("bytes that are no UTF-8 are shown by their value") {
  CHECK(visible("a\x9b"
                "b\xff") == "a\\x9bb\\xff");
  CHECK(visible("\xe2\x82") == "\\xe2\\x82");  // the end is missing
  CHECK(visible("\xc0\xaf") == "\\xc0\\xaf");  // longer than it need be
}

TEST_CASE("letters of any language, signs and emoji stay") {
  const std::string text =
      "caf\xc3\xa9 \xe2\x82\xac \xd7\x90\xd7\x91 \xe6\xbc\xa2 \xf0\x9f\x94\xa7";
  CHECK(visible(text) == text);
  CHECK(visible_lines("one\ntwo\r\n") == "one\ntwo\\u000d\n");
  CHECK(visible("") == "");
}

TEST_CASE("a long text is cut, but not within a character or a code") {
  CHECK(shortened("abcdef", 6) == "abcdef");
  CHECK(shortened("abcdefg", 6) == "abc...");
  CHECK(shortened("ab\xe2\x82\xac\xe2\x82\xac", 6) == "ab...");
  CHECK(shortened("\x1b\x1b\x1b", 10) == "\\u001b...");
  CHECK(shortened(std::string(1000000, 'x')).size() == 60);
  CHECK(visible_lines(std::string(5000, 'x') + "\nend").size() == 2000 + 4);
}

TEST_CASE("messages show foreign text so") {
  const std::string odd = "\x1b]0;pwned\x07\xe2\x80\xae";
  // A value, a key, a name within a message, a file name; escaped in the file where TOML demands
  // it.
  for (const std::string& text :
       {replaced(sample_text(), "\"102 mm\"", "\"\\u001b[2J mm\""),
        replaced(sample_text(), "bore =", "\"\\u001b[2J\\u202e\" = 3\nbore ="),
        replaced(sample_text(), "left =", "\"\\u001b[2J\" ="),
        replaced(sample_text(), "\"equal-length\"",
                 "\"\xe2\x80\xae"
                 "equal-length\""),
        replaced(sample_text(), "\"28 inH2O\"",
                 "\"28 \xe2\x80\xae"
                 "inH2O\""),
        replaced(sample_text(), "rod = \"150 mm\"",
                 "rod = \"150 mm\xc2\x9b"
                 "31m\"")}) {
    const std::string message = message_of(text, odd + ".toml");
    CAPTURE(visible(message));
    CHECK(!message.empty());
    CHECK(is_plain(message));
    CHECK(message.find("\\u001b]0;pwned\\u0007\\u202e.toml:") == 0);
  }
}

TEST_CASE("messages about long text are short") {
  const std::string rubbish(300000, 'x');
  for (const std::string& text :
       {replaced(sample_text(), "\"102 mm\"", "\"" + rubbish + "\""),
        replaced(sample_text(), "\"102 mm\"", "\"102 " + rubbish + "\""),
        replaced(sample_text(), "\"82 deg BBDC\"", "\"" + rubbish + " BBDC\""),
        replaced(sample_text(), "\"1-7/8 in OD, 16 ga\"", "\"" + rubbish + "\""),
        replaced(sample_text(), "bore =", rubbish + " = 3\nbore ="),
        replaced(sample_text(), "left =", rubbish + " =")}) {
    const std::string message = message_of(text);
    CHECK(!message.empty());
    CHECK(message.size() < 3000);
  }
}

TEST_CASE("texts of a case file have no characters that do not print") {
  for (const char* code :
       {"\\u0000", "\\u0007", "\\u001b", "\\u009b", "\\u202e", "\\n", "\\u2028"}) {
    const std::string text =
        replaced(sample_text(), "\"sample\"", "\"sam" + std::string(code) + "ple\"");
    const std::string message = message_of(text);
    CAPTURE(message);
    CHECK(message.find("bad.toml:1: title = ") == 0);
    CHECK(message.find("which does not print") != std::string::npos);
  }
  // Notes have lines, but nothing that a terminal obeys.
  const auto with_notes = [](const std::string& notes) {
    return replaced(sample_text(), "invented = true", "notes = \"" + notes + "\"");
  };
  CHECK(read_case_text(with_notes("one\\n\\ttwo"), "good.toml").notes == "one\n\ttwo");
  CHECK(message_of(with_notes("one\\u001b[2J")).find("\\u001b, which does not print") !=
        std::string::npos);
}

TEST_CASE("a title is a line, not a book") {
  const auto titled = [](std::size_t size) {
    return replaced(sample_text(), "\"sample\"", "\"" + std::string(size, 't') + "\"");
  };
  CHECK(message_of(titled(200)).empty());
  CHECK(message_of(titled(201)).find("bad.toml:1: title = ") == 0);
}
