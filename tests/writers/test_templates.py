"""The template environment: every value is escaped by our own escape, and what a template may not do is an error."""

from __future__ import annotations

import json

import html5lib
import pytest
from hostile_names import HOSTILE, as_shown
from hypothesis import given
from hypothesis import strategies as st
from jinja2 import TemplateError, UndefinedError

from diagramgen.kernel.resources import folder
from diagramgen.writers.markup import Markup, data, escaped
from diagramgen.writers.templates import environment, rendered, rendered_macros, source_of

names = st.text(st.characters(blacklist_categories=("Cs", "Cn")), max_size=40) | st.sampled_from(HOSTILE)


def filled(template, **known):
    return environment().from_string(template).render(known)


@given(names, names)
def test_any_text_and_any_attribute_come_back_as_they_were(text, value):
    page = filled('<!DOCTYPE html><title>t</title><p title="{{ value }}">{{ text }}</p>', text=text, value=value)
    tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    (shown,) = tree.iter("p")
    assert dict(shown.attrib) == {"title": as_shown(value)}
    assert (shown.text or "", list(shown)) == (as_shown(text), [])


def test_a_template_escapes_as_pictures_do():
    text = "&<>\"'`\0\n"
    assert filled("{{ text }}", text=text) == escaped(text) == "&amp;&lt;&gt;&quot;&#39;&#96;\ufffd "


@pytest.mark.parametrize("name", HOSTILE)
def test_a_value_is_never_read_as_a_template(name):
    assert filled("{{ text }}", text=name) == escaped(name)
    assert filled("{% set x %}{{ text }}{% endset %}{{ x }}", text=name) == escaped(name)
    assert filled("{% macro m(t) %}{{ t }}{% endmacro %}{{ m(text) }}", text=name) == escaped(name)
    assert filled('{{ "a" ~ text }}', text=name) == "a" + escaped(name)


def test_markup_is_put_in_once_and_markup_joined_to_text_is_text_again():
    assert filled("{{ m }}", m=Markup("<b>x</b>")) == "<b>x</b>"
    assert filled("{{ m }}", m=Markup("<b>") + "<i>") == "&lt;b&gt;&lt;i&gt;"


@pytest.mark.parametrize("template", ["{{ gone }}", "{{ known.gone }}", "{% if gone %}x{% endif %}",
                                      "{% for x in gone %}{% endfor %}"])
def test_what_is_not_known_is_an_error_and_not_an_empty_place(template):
    with pytest.raises(UndefinedError):
        filled(template, known=Markup("x"))


@pytest.mark.parametrize("value", [None, True, False, 1.5, ["a"], b"bytes"])
def test_what_is_no_text_is_an_error(value):
    with pytest.raises(TypeError, match="neither text nor a whole number"):
        filled("{{ value }}", value=value)


@pytest.mark.parametrize("name", ["safe", "e", "escape", "forceescape", "tojson", "xmlattr", "join", "urlize"])
def test_no_filter_marks_text_as_markup_or_escapes_in_its_own_way(name):
    with pytest.raises(TemplateError):
        filled("{{ text|" + name + " }}", text="<b>")


def test_an_indented_line_continues_the_one_above_and_values_keep_their_blanks():
    assert filled("<p>\n  <b>\n    {{ x }}\n  </b>\n</p>\n", x=Markup("1\n  2")) == "<p><b>1\n  2</b>\n</p>\n"
    assert filled("{% if 1\n    and 1 %}\n  a\n  {% endif %}\nb") == "ab"


def test_an_error_names_the_line_of_the_template():
    with pytest.raises(TemplateError) as found:
        filled("<p>\n  <b>\n  {% wrong %}\n</b>")
    assert found.value.lineno == 3


def test_a_macro_that_is_not_there_and_a_template_that_is_not_there_are_errors():
    with pytest.raises(AttributeError):
        rendered_macros("preview/parts.html.j2", ["no_such_part"], {})
    with pytest.raises(TemplateError):
        rendered("preview/no-such-page.html.j2", {})


def test_every_template_compiles_and_marks_nothing_as_safe():
    found = sorted(path.relative_to(folder("features")).as_posix() for path in folder("features").rglob("*.j2"))
    assert len(found) >= 5
    for name in found:
        environment().get_template(name)


def test_the_source_of_a_script_is_that_of_the_published_example():
    """Content Security Policy Level 3 (W3C), its example of a hash source (from memory); OpenSSL gives the same."""
    assert source_of("alert('Hello, world.');") == "sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng="


@given(st.recursive(names, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(names, inner, max_size=3)))
def test_any_data_comes_back_and_can_neither_end_nor_begin_a_script(value):
    text = filled("{{ value|data }}", value=value)
    assert text == data(value)
    assert json.loads(text) == value
    assert not set("<>&\u2028\u2029\x7f\x80") & set(text)
