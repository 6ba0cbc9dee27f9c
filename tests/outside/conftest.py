"""A real browser, and a preview of a build that is edited, for the tests that look at pages."""

from __future__ import annotations

import pytest
from browser import Browser, program
from edited_build import Edited


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    program()
    found = Browser(tmp_path_factory.mktemp("profile"))
    yield found
    found.close()


@pytest.fixture
def edited(tmp_path):
    found = Edited(tmp_path)
    yield found
    if found.running.poll() is None:
        found.running.kill()
        found.running.communicate()
