"""The live page as a file: what `live` writes, and what it does not write over."""
# test needs: live page

import json
import re

from rig.program import DONE, SINGLE, WRONG_INPUT, CommandLineCase, main

HOSTILE = '</script><script>window.hit = 1</script> <!-- & "quoted"'


def opened_case(page):
    """Name and text of the case that a page opens with."""
    found = re.search(r'<script type="application/json" id="case">(.*?)</script>', page, re.DOTALL)
    return json.loads(found[1])


class LivePage(CommandLineCase):
    def page(self, *arguments):
        outcome = self.pulsewright("live", *arguments)
        self.assertEqual((outcome.returncode, outcome.stderr), (DONE, ""))
        return (self.folder / "live.html").read_text(encoding="utf-8")

    def test_it_holds_the_case_as_it_is_written(self):
        text = SINGLE.read_text(encoding="utf-8")
        case = opened_case(self.page(SINGLE))
        self.assertEqual(case, {"name": SINGLE.name, "text": text})
        self.assertIsNone(opened_case(self.page()))
        self.assertEqual(opened_case(self.page("--case", SINGLE)), case)

    def test_nothing_of_a_case_becomes_markup(self):
        bad = self.folder / "bad.toml"
        bad.write_text(f"title = {json.dumps(HOSTILE)}\n", encoding="utf-8")
        plain, page = self.page(), self.page(bad)
        self.assertEqual(opened_case(page)["text"], bad.read_text(encoding="utf-8"))
        self.assertEqual(page.count("<script"), plain.count("<script"))

    def test_the_browser_may_not_connect(self):
        policy = re.search(r'Content-Security-Policy" content="([^"]*)"', self.page())[1]
        self.assertIn("default-src 'none'", policy)
        self.assertNotRegex(policy, r"https?:|\*|connect-src")

    def test_json_names_page_and_size(self):
        printed = self.json_of("live", "-o", "live.html")
        size = (self.folder / "live.html").stat().st_size
        self.assertEqual(printed, {"page": "live.html", "bytes": size})
        self.assertLess(size, 8e6)

    def test_what_is_no_page_stays(self):
        letter = self.folder / "letter.html"
        letter.write_text("Dear customer", encoding="utf-8")
        for arguments, words in ((("-o", "letter.html"), "is no page"),
                                 (("-o", "missing/live.html"), "there is no folder"),
                                 (("-o", ""), "name a file"), (("none.toml",), "none.toml")):
            outcome = self.pulsewright("live", *arguments)
            self.assertEqual(outcome.returncode, WRONG_INPUT, arguments)
            self.assertIn(words, outcome.stderr)
            self.assertEqual(outcome.stdout, "")
        self.assertEqual(letter.read_text(encoding="utf-8"), "Dear customer")
        self.assertEqual([one.name for one in self.folder.iterdir()], ["letter.html"])


main()
