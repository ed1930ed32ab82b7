// Text in lines of limited width.
#include "cases/wrapped_text.hpp"

#include <doctest/doctest.h>

using pulsewright::cases::wrapped;

TEST_CASE("a text is broken between words, where the width ends") {
  CHECK(wrapped("one two three", 0, 0, 13) == "one two three");
  CHECK(wrapped("one two three", 0, 0, 12) == "one two\nthree");
  CHECK(wrapped("one two three", 2, 0, 7) == "one two\n  three");
  CHECK(wrapped("one two three", 2, 5, 12) == "one two\n  three");
  CHECK(wrapped("one two three", 2, 6, 12) == "one\n  two three");
  CHECK(wrapped("", 2, 0, 10).empty());
}

TEST_CASE("a word that is wider than a line stands alone") {
  CHECK(wrapped("a verylongword b", 1, 0, 6) == "a\n verylongword\n b");
}

TEST_CASE("line feeds stay, and blanks at the beginning of a line") {
  CHECK(wrapped("one\n\n  two three", 1, 0, 9) == "one\n\n   two\n three");
  CHECK(wrapped("one \ntwo", 0, 0, 9) == "one\ntwo");
}

TEST_CASE("characters count, not bytes") {
  CHECK(wrapped("\xc3\xa4\xc3\xb6\xc3\xbc x", 0, 0, 5) == "\xc3\xa4\xc3\xb6\xc3\xbc x");
}
