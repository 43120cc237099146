"""What a page says of itself to machines, and how the course asks to be cited."""

import json
import re
import tomllib
from pathlib import Path
from types import SimpleNamespace

import pytest
import yaml
from docutils import nodes

ROOT = Path(__file__).resolve().parents[2]
CITATION = yaml.safe_load((ROOT / "book" / "CITATION.cff").read_text(encoding="utf-8"))
LICENCE = "https://creativecommons.org/licenses/by/4.0/"


def said(page, name):
    """Return what a page's head says under a name, which must stand there once."""
    (tag,) = page.head.select(f'meta[name="{name}"], meta[property="{name}"]')
    return tag["content"]


def plain(text):
    return re.sub(r"\W+", " ", text)


@pytest.fixture
def written(pages):
    """Return the pages that somebody wrote."""
    return {name: page for name, page in pages.items() if name != "search.html"}


@pytest.mark.course
def test_each_page_has_title_author_licence_and_language(written):
    for name, page in written.items():
        assert page.html["lang"] == said(page, "og:locale") == "en", name
        assert said(page, "author") == "The Bandwork authors", name
        assert said(page, "dcterms.license") == LICENCE, name
        assert said(page, "og:site_name") == "Bandwork", name
        assert said(page, "og:title") == page.h1.find(string=True), name


@pytest.mark.course
def test_each_page_is_described_by_sentences_of_its_own(written):
    descriptions = {name: said(page, "description") for name, page in written.items()}
    assert len(set(descriptions.values())) == len(written) > 50
    for name, description in descriptions.items():
        assert 30 < len(description) <= 260, name
        assert description[-1] in ".?!", name
        assert plain(description) in plain(written[name].article.get_text()), name
        assert said(written[name], "og:description") == description, name


@pytest.mark.course
def test_each_page_is_a_learning_resource_of_schema_org(written):
    for name, page in written.items():
        (script,) = page.head.select('script[type="application/ld+json"]')
        resource = json.loads(script.string)
        assert resource["@context"] == "https://schema.org", name
        assert resource["@type"] == "LearningResource", name
        assert resource["name"] == said(page, "og:title"), name
        assert resource["description"] == said(page, "description"), name
        assert resource["license"] == LICENCE, name
        assert resource["inLanguage"] == "en", name
        assert resource["author"] == {"@type": "Organization", "name": "The Bandwork authors"}
        assert "url" not in resource, name


def head_of(pageurl):
    """Return what is put into the head of an invented page at an address."""
    import bandwork_page

    document = nodes.document(None, None)
    document += nodes.section("", nodes.paragraph("", "Does it <float>? Yes."))
    app = SimpleNamespace(
        config=SimpleNamespace(author="Ada", language="en", html_title="Book"),
        env=SimpleNamespace(titles={"page": nodes.title("", 'A "title"')}),
    )
    context = {"metatags": "<first>", **pageurl}
    bandwork_page.describe(app, "page", "page.html", context, document)
    return context["metatags"]


def test_an_address_is_named_when_the_settings_know_it(monkeypatch):
    monkeypatch.syspath_prepend(ROOT / "book" / "_ext")
    address = "https://example.org/page.html"
    without, with_it = head_of({}), head_of({"pageurl": address})
    assert address not in without
    assert f'<meta property="og:url" content="{address}" />' in with_it
    assert f'"url": "{address}"' in with_it
    assert without.startswith("<first>")


def test_what_a_page_says_cannot_break_out_of_its_tag(monkeypatch):
    monkeypatch.syspath_prepend(ROOT / "book" / "_ext")
    head = head_of({})
    assert 'content="Does it &lt;float&gt;? Yes."' in head
    assert 'content="A &quot;title&quot;"' in head
    assert "\\u003cfloat>" in head


def test_the_citation_file_has_what_its_format_asks_for():
    # Citation File Format 1.2.0: the required keys and the forms of those used here.
    assert CITATION["cff-version"] == "1.2.0"
    for part in (CITATION, CITATION["preferred-citation"]):
        assert part["title"]
        assert [set(author) for author in part["authors"]] == [{"name"}]
    assert CITATION["message"]
    assert CITATION["type"] in ("software", "dataset")
    assert CITATION["preferred-citation"]["type"] == "book"
    assert isinstance(CITATION["preferred-citation"]["year"], int)
    assert set(CITATION) <= {
        "abstract", "authors", "cff-version", "commit", "contact", "date-released", "doi",
        "identifiers", "keywords", "license", "license-url", "message", "preferred-citation",
        "references", "repository", "repository-artifact", "repository-code", "title", "type",
        "url", "version",
    }


def test_the_citation_agrees_with_the_library_and_the_page():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    preferred = CITATION["preferred-citation"]
    assert CITATION["version"] == preferred["version"] == project["version"]
    assert set(CITATION["license"]) == set(project["license"].split(" AND "))
    page = (ROOT / "book" / "index.md").read_text(encoding="utf-8")
    told = (f"{preferred['authors'][0]['name']} ({preferred['year']}). *{preferred['title']}*, "
            f"version {preferred['version']}.")
    assert told in " ".join(page.split())
