"""Every figure can be read: by eye, in grey, on a phone, and by ear."""

import re
from itertools import combinations

import matplotlib.pyplot as plt
import pytest
from matplotlib.colors import to_rgb
from matplotlib.text import Text

from figures import draw


@pytest.fixture(params=draw.names())
def figure(request):
    with plt.style.context(draw.STYLE):
        _, figure = draw.draw_figure(request.param)
        yield figure
        plt.close(figure)


@pytest.fixture
def texts(figure, monkeypatch):
    """Return what is written in the figure: each text that is drawn and the box it takes."""
    written = []
    original = Text.draw

    def remember(text, renderer, *args, **kwargs):
        if text.get_visible() and text.get_text().strip():
            written.append((text, Text.get_window_extent(text, renderer)))
        return original(text, renderer, *args, **kwargs)

    monkeypatch.setattr(Text, "draw", remember)
    figure.canvas.draw()
    assert written
    return written


def test_no_text_leaves_the_figure(figure, texts):
    page = figure.bbox
    outside = [
        text.get_text()
        for text, box in texts
        if box.x0 < 0 or box.y0 < 0 or box.x1 > page.width or box.y1 > page.height
    ]
    assert outside == []


def test_no_two_texts_overlap(texts):
    touching = [
        (one.get_text(), other.get_text())
        for (one, a), (other, b) in combinations(texts, 2)
        if min(a.x1, b.x1) - max(a.x0, b.x0) > 1 and min(a.y1, b.y1) - max(a.y0, b.y0) > 1
    ]
    assert touching == []


def test_text_can_be_read_on_a_phone(figure, texts):
    """A phone is 390 pixels wide and shows a figure as wide as that."""
    shown = 390 / (72 * figure.get_figwidth())
    assert min(text.get_fontsize() for text, _ in texts) * shown >= 11.5


def luminance(colour):
    parts = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def test_text_stands_out_from_the_paper(figure, texts):
    """At least 4.5 to 1: W3C, Web Content Accessibility Guidelines 2.2, criterion 1.4.3."""
    paper = luminance(figure.get_facecolor())
    faint = [
        text.get_text()
        for text, _ in texts
        if (paper + 0.05) / (luminance(text.get_color()) + 0.05) < 4.5
    ]
    assert faint == []


def test_curves_differ_by_more_than_colour(figure):
    for axes in figure.axes:
        colours = {}
        for line in axes.lines:
            if axes.axison and len(line.get_xdata()) > 2:
                look = (str(line._unscaled_dash_pattern), line.get_marker())
                colours.setdefault(look, set()).add(line.get_color())
        assert [look for look, several in colours.items() if len(several) > 1] == []


@pytest.mark.course
@pytest.mark.parametrize("name", draw.names())
class TestDrawn:
    def test_the_same_again_from_another_process(self, book, name):
        assert draw.as_svg(name) == draw.drawn(name).read_text(encoding="utf-8")

    def test_text_stays_text(self, book, name):
        svg = draw.drawn(name).read_text(encoding="utf-8")
        assert re.search(r"<text[ >]", svg)
        assert 'id="DejaVuSans-' not in svg


EXAMPLE = """
from matplotlib.pyplot import subplots
ALT = "A straight line that rises from zero to one, for a test of the drawing."
def draw():
    figure, axes = subplots()
    axes.plot([0, 1])
    return figure
"""


@pytest.fixture
def workshop(tmp_path, monkeypatch):
    """Point the drawing at an empty folder with two figures."""
    figures = tmp_path / "figures"
    monkeypatch.setattr(draw, "ROOT", tmp_path)
    monkeypatch.setattr(draw, "FIGURES", figures)
    monkeypatch.setattr(draw, "DRAWN", tmp_path / "drawn")
    monkeypatch.setattr(draw, "STYLE", figures / "house.mplstyle")
    (figures / "unit").mkdir(parents=True)
    (tmp_path / "requirements.txt").write_text("matplotlib>=3\n")
    draw.STYLE.write_text("lines.linewidth: 2\n")
    for name in ("one", "two"):
        (figures / "unit" / f"{name}.py").write_text(EXAMPLE)
    return figures


class TestDrawingOnlyWhatChanged:
    def test_first_all_then_none(self, workshop):
        told = []
        assert draw.draw_all(told.append) == ["unit/one", "unit/two"]
        assert told == ["figure 1 of 2: unit/one", "figure 2 of 2: unit/two"]
        assert draw.draw_all(told.append) == []

    def test_an_edited_figure_alone(self, workshop):
        draw.draw_all(str)
        (workshop / "unit" / "two.py").write_text(EXAMPLE + "# edited\n")
        assert draw.draw_all(str) == ["unit/two"]

    def test_all_after_a_change_of_the_style(self, workshop):
        draw.draw_all(str)
        (workshop / "house.mplstyle").write_text("# edited\n")
        assert draw.draw_all(str) == ["unit/one", "unit/two"]

    def test_those_that_import_what_was_edited(self, workshop):
        shared, one = workshop / "unit" / "_shared.py", workshop / "unit" / "one.py"
        shared.write_text("PULL = 1\n")
        one.write_text(EXAMPLE + 'SHARED = "figures.unit._shared"\n')
        draw.draw_all(str)
        shared.write_text("PULL = 2\n")
        assert draw.draw_all(str) == ["unit/one"]

    def test_all_after_a_change_of_what_is_installed(self, workshop):
        draw.draw_all(str)
        (workshop.parent / "requirements.txt").write_text("matplotlib>=4\n")
        assert draw.draw_all(str) == ["unit/one", "unit/two"]

    def test_a_figure_that_has_gone_leaves_no_drawing(self, workshop):
        draw.draw_all(str)
        (workshop / "unit" / "one.py").unlink()
        draw.draw_all(str)
        assert not draw.drawn("unit/one").exists()


class TestFaultyFigure:
    @pytest.mark.parametrize(
        ("code", "message"),
        [
            (EXAMPLE.replace("ALT", "OTHER"), "must define draw()"),
            (EXAMPLE.replace("A straight line that rises from", ""), "at least 40 characters"),
            (EXAMPLE.replace("return figure", "return axes"), "returns a matplotlib Figure"),
            ("raise OSError('no file')", "figures/unit/one.py fails. OSError: no file"),
        ],
    )
    def test_it_is_named_with_its_fault(self, workshop, code, message):
        (workshop / "unit" / "one.py").write_text(code)
        with pytest.raises(draw.FigureError, match=re.escape(message)):
            draw.draw_all(str)
