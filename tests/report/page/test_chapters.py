"""A chapter's text as lists: no line of it is broken by hand, and nothing of it is lost."""

import re
from html import unescape

from fitcheck.report.cuts_text import cuts_text
from fitcheck.report.lines import TOGETHER
from fitcheck.report.page.chapters import UNBROKEN, markup
from tests.report.page.made import page_of
from tests.verdicts import judged_example

TEXT = """CUTS: keeps.

Cut list
  [+] keeps                UPPER JACKET
      first cut           mark 15 29/32 in (404.5 mm) from the top
                          <b>twice</b>

Worked with
  - a saw of 1.1 mm
  and 11 more
"""


def test_headings_entries_steps_and_what_goes_on_beside_them() -> None:
    told = markup(TEXT).replace(TOGETHER, "_")
    assert told == (
        "<p>CUTS: keeps.</p>\n<h3>Cut list</h3>\n"
        '<ul class="told"><li><b>[+] keeps</b> UPPER JACKET</li>'
        '<li class="step"><b>first cut</b> mark 15_29/32_in (404.5_mm) from the top'
        "<br>&lt;b&gt;twice&lt;/b&gt;</li></ul>\n"
        '<h3>Worked with</h3>\n<ul class="told"><li>a saw of 1.1_mm</li><li>and 11 more</li></ul>'
    )


def test_every_word_of_the_cut_list_stands_on_the_page_and_nothing_is_set_in_by_spaces() -> None:
    cuts = judged_example("saloon-9-00").cuts
    assert cuts is not None
    text = cuts_text(cuts, [], "in", UNBROKEN)
    seen = unescape(re.sub(r"<[^>]*>", " ", markup(text))).replace(TOGETHER, " ")
    assert seen.split() == text.replace("  - ", " ").split()
    assert "<pre>" not in page_of("dozen-go")
