"""The page of a set-up: whole in itself, readable by everybody, on paper as well."""

import re
from io import BytesIO

import pytest
from bandwork.cli import main
from bandwork.setup import predict
from bandwork.workshop.answer import answer, of_hundred
from bandwork.workshop.files import read_gun
from bandwork.workshop.quantities import Units
from bandwork.workshop.show import page
from bs4 import BeautifulSoup
from pypdf import PdfReader

from tests.browser import AXE, RULES
from tests.workshop.guns import HARBOUR


def written(folder, text=HARBOUR):
    path = folder / "harbour.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def gun(tmp_path_factory):
    return read_gun(written(tmp_path_factory.mktemp("guns")))


@pytest.fixture(scope="module")
def html(gun):
    return page(gun, day="2026-11-28")


def test_the_first_sentence_says_how_often_the_diver_loads_it_as_predict_does(gun, html):
    told = answer(gun, Units())
    assert told.prediction.load_spare > 0
    assert f"(who loads it in {of_hundred(told.chances['loads'])} draws)" in html


@pytest.fixture(scope="module")
def soup(html):
    return BeautifulSoup(html, "html.parser")


def test_nothing_is_asked_for_from_anywhere(html, soup):
    policy = soup.find("meta", {"http-equiv": "Content-Security-Policy"})["content"]
    assert policy.startswith("default-src 'none'")
    assert not soup.find_all(["script", "img", "iframe", "object", "form"])
    assert [one["href"] for one in soup.find_all("link")] == ["data:,"]
    addresses = set(re.findall(r"https?://[^\"' <>]+", html))
    assert addresses <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}


def test_four_pictures_say_what_they_show_and_have_their_table(soup):
    pictures = soup.find_all("svg")
    assert len(pictures) == len(soup.find_all("figcaption")) == len(soup.find_all("details")) == 4
    for picture in pictures:
        title, said = picture.find("title"), picture.find("desc")
        assert picture["aria-labelledby"].split() == [title["id"], said["id"]]
        assert len(said.text) > 100
    names = [one["id"] for one in soup.find_all(id=True)]
    assert len(names) == len(set(names))
    for one in soup.find_all("details"):
        assert len(one.find_all("tr")) >= 3


def test_the_numbers_are_those_of_the_library(gun, soup):
    told = predict(gun.setup, gun.quarry, gun.assumptions)
    words = " ".join(soup.text.split())
    assert f"{told.load / 9.80665:.1f} (" in words
    assert f"Loading stores {told.stored_energy:.0f} J" in words
    assert f"{told.practical_range:.2f} m, limited by {told.limited_by}" in words
    for caution in told.cautions:
        assert caution in words
    for key, value in gun.given.items():
        assert key in words
        assert value in words


def test_the_table_of_the_energy_adds_up(gun, soup):
    rows = soup.find("h2", id="energy").parent.find("tbody").find_all("tr")
    parts = [float(row.find("td").text.split()[0]) for row in rows]
    assert sum(parts) == pytest.approx(predict(gun.setup).stored_energy, abs=3.5)


def test_the_pull_at_the_notch_and_the_drop_at_the_end_are_the_predictions(gun, soup):
    told = predict(gun.setup)
    force = soup.find("h2", id="force").parent.find("tbody").find_all("td")
    assert float(force[0].text.split()[0]) == pytest.approx(told.load / 9.80665, abs=0.06)
    drops = soup.find("h2", id="flight").parent.find("tbody").find_all("td")
    assert float(drops[-1].text.split()[0]) == pytest.approx(told.drop_at_reach * 100, abs=0.1)


def test_a_name_that_is_markup_stays_a_name(tmp_path):
    gun = read_gun(written(tmp_path, HARBOUR.replace("Harbour gun", "<script>x</script> & sons")))
    soup = BeautifulSoup(page(gun), "html.parser")
    assert not soup.find_all("script")
    assert soup.find("h1").text == "<script>x</script> & sons"


def test_in_pounds_and_inches(gun):
    words = BeautifulSoup(page(gun, Units("us")), "html.parser").text
    assert "103.7 (89.2 to 142.6)" in words
    assert "wishbone ahead of the notch (in)" in words
    assert "kgf" not in words.split("What was given")[0].split("Where the energy goes")[1]


@pytest.mark.parametrize("change", [
    ('length = "120 cm"', 'length = "120 cm"\nkind = "conventional"'),
    ('load_capacity = "51 kgf"', 'load_capacity = "30 kgf"'),
    ('[assist]\nlength = "35 cm"', '[quarry]\ndistance = "9 m"'),
    ("wraps = 1", "wraps = 3"), ("wraps = 1", "wraps = 0")])
def test_other_guns_are_shown_too(tmp_path, change):
    assert change[0] in HARBOUR
    text = HARBOUR.replace(*change)
    if "conventional" in change[1]:
        text = text.replace('relaxed_length = "65 cm"', 'relaxed_length = "38 cm"').replace(
            '[assist]\nlength = "35 cm"', "")
    gun = read_gun(written(tmp_path, text))
    assert len(BeautifulSoup(page(gun), "html.parser").find_all("svg")) == 4


def test_the_command_writes_once(tmp_path, capsys):
    out = tmp_path / "harbour.html"
    asked = ["show", str(written(tmp_path)), "--out", str(out)]
    assert main(asked) == 0
    assert out.as_uri() in capsys.readouterr().out
    before = out.read_bytes()
    assert main(asked) == 1
    assert "harbour.html is there already" in capsys.readouterr().err
    assert out.read_bytes() == before
    assert main([*asked[:3], str(tmp_path / "harbour.toml"), "--force"]) == 1
    assert "harbour.toml does not end with .html" in capsys.readouterr().err


@pytest.fixture
def visit(browser, html, tmp_path):
    """Return a function that opens the page; afterwards nothing may have been asked for."""
    path = tmp_path / "harbour.html"
    path.write_text(html, encoding="utf-8")
    trouble, contexts = [], []

    def open_page(width, scheme="light"):
        context = browser.new_context(viewport={"width": width, "height": 900},
                                      color_scheme=scheme)
        contexts.append(context)
        opened = context.new_page()
        opened.on("request", lambda request: trouble.append(request.url)
                  if request.url != path.as_uri() and not request.url.startswith("data:") else None)
        opened.on("console", lambda message: trouble.append(message.text)
                  if message.type in ("error", "warning") else None)
        opened.on("pageerror", lambda error: trouble.append(str(error)))
        opened.goto(path.as_uri())
        return opened

    yield open_page
    for context in contexts:
        context.close()
    assert trouble == []


@pytest.mark.browser
class TestInTheBrowser:
    @pytest.mark.parametrize("scheme", ["light", "dark"])
    @pytest.mark.parametrize("width", [1280, 390])
    def test_fits_and_is_accessible(self, visit, width, scheme):
        opened = visit(width, scheme)
        opened.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        assert opened.evaluate("document.scrollingElement.scrollWidth - innerWidth") <= 0
        # evaluate() is not bound by the page's policy, which lets no script of its own run.
        opened.evaluate(AXE)
        found = opened.evaluate("rules => axe.run(document, {runOnly: rules, preload: false})",
                                RULES)["violations"]
        assert [(fault["id"], node["html"][:160]) for fault in found
                for node in fault["nodes"]] == []

    def test_fits_the_narrowest_phone(self, visit):
        opened = visit(320)
        assert opened.evaluate("document.scrollingElement.scrollWidth - innerWidth") <= 0

    def test_words_in_the_pictures_can_be_read_on_a_phone(self, visit):
        opened = visit(390)
        heights = opened.evaluate("""() => [...document.querySelectorAll('svg text')]
            .map(one => one.getBoundingClientRect()).map(box => Math.max(box.width, box.height))
            .filter(size => size > 0)""")
        assert min(heights) > 11

    def test_prints_on_a_few_pages_with_its_words(self, visit):
        opened = visit(1280)
        for size in ("A4", "Letter"):
            printed = PdfReader(BytesIO(opened.pdf(format=size, prefer_css_page_size=False)))
            assert len(printed.pages) <= 4
            words = " ".join(one.extract_text() for one in printed.pages)
            assert "Harbour gun" in words
            assert "never permission to load a gun" in " ".join(words.split())
