"""The gallery: its command works, and what the front page shows is there and small."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

import pytest
from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
GALLERY = ROOT / "docs" / "gallery"


@pytest.fixture(scope="module")
def tool():
    spec = importlib.util.spec_from_file_location("make_gallery", ROOT / "tools" / "make_gallery.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_command_makes_a_sample_s_picture_and_the_contact_sheet(tool, tmp_path):
    made = tool.make([ROOT / "samples" / "one-volume.yaml"], tmp_path)
    assert sorted(p.name for p in made) == ["contact-sheet.png", "one-volume-diagram.png"]
    picture = Image.open(tmp_path / "one-volume-diagram.png").convert("L")
    assert min(picture.size) > 700
    darkest, lightest = picture.getextrema()
    assert darkest < 60
    assert lightest > 200


def test_a_build_with_errors_has_no_picture(tool):
    assert tool.pictures_of(ROOT / "samples" / "wrong-on-purpose.yaml") == {}


def test_a_picture_that_is_too_large_is_refused(tool):
    with pytest.raises(ValueError, match="lower DPI"):
        tool.small(Image.effect_noise((900, 900), 90))


def test_each_picture_that_the_front_page_links_is_in_the_gallery():
    linked = re.findall(r"docs/gallery/[\w.-]+", (ROOT / "README.md").read_text())
    assert linked
    assert [link for link in linked if not (ROOT / link).is_file()] == []


def test_every_picture_is_a_sample_s_and_under_200_kb(tool):
    names = {p.stem for p in (ROOT / "samples").glob("*.yaml")}
    for picture in GALLERY.glob("*.png"):
        assert picture.name == tool.CONTACT or any(picture.name.startswith(f"{name}-") for name in names), picture.name
        assert picture.stat().st_size <= tool.LARGEST
