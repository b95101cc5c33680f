"""What takes most of the time, left out where it is not looked at."""

from contextlib import nullcontext

import pytest


@pytest.fixture
def unadvised(monkeypatch):
    """Leaves out what `check` writes of changes."""
    monkeypatch.setattr("designs.command.brief.best", lambda _: None)
    monkeypatch.setattr("designs.command.check.begun", lambda _: nullcontext())


@pytest.fixture
def light(monkeypatch):
    """Leaves out pictures, tables and advice of the report."""
    monkeypatch.setattr("designs.pages.content.searched_tables", lambda _: ([], []))
    for tables in ("balance_tables", "deep_tables", "shaft_tables"):
        monkeypatch.setattr(f"designs.pages.content.{tables}", lambda _: [])
    monkeypatch.setattr("designs.pages.content.first_of", lambda *_: None)
    monkeypatch.setattr("designs.pages.page.limit_bars", lambda *_: "")
