"""No page is longer than can be read in one sitting, and the prose is counted as it says."""

import pytest

from tests.book import reading

MOST_WORDS = 1500
LISTS = {"appendix/handbook", "instructor/matrix"}
"""Generated from data, to look things up in: one row for each value or item."""


@pytest.mark.course
def test_every_page_has_fewer_words_than_the_limit(book):
    found = reading.readings(book)
    assert set(found) > LISTS
    assert {name: page.words for name, page in found.items()
            if page.words >= MOST_WORDS and name not in LISTS} == {}


def test_prose_is_counted_as_it_is_said():
    html = """<article class="bd-article"><h1>Not this</h1><p>One band pulls <span class="math">
        \\(x + y\\)</span> newtons</p><ul><li>Two legs</li></ul><table><tr><td><p>no</p></td></tr>
        </table><pre>no code</pre><div class="choose"><label><span>An option</span></label>
        <details><summary>Answers</summary><ol><li><p>An option</p>
        <p class="choose-answer">Why it is so.</p></li></ol></details></div></article>"""
    assert reading.prose(html).splitlines() == [
        "One band pulls x newtons.", "Two legs.", "An option.", "Why it is so.",
    ]
    assert reading.reading(html).words == 13


def test_the_grade_is_the_formula_of_kincaid():
    # Kincaid et al. 1975: 0.39 words a sentence + 11.8 syllables a word - 15.59.
    html = '<article class="bd-article"><p>The old man sat on the big red boat.</p></article>'
    assert reading.reading(html).grade == pytest.approx(0.39 * 9 + 11.8 * 1 - 15.59)


def test_the_report_asks_for_a_built_book(monkeypatch, tmp_path, capsys):
    monkeypatch.setattr(reading, "BUILT", tmp_path / "none")
    with pytest.raises(SystemExit, match="not built yet"):
        reading.main()
