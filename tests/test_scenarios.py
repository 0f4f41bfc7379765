"""Every story of `scenarios/` has a partner that walks it step by step; here without a screen."""

import importlib
import re
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from types import ModuleType

import pytest

from core.app.demo import write_demo
from scenarios.hands import HeadlessHands

FOLDER = Path(__file__).parents[1] / "scenarios"
STORIES = sorted(path.stem for path in FOLDER.glob("[0-9][0-9]-*.md"))
DAY = date(2026, 11, 21)
pytest.register_assert_rewrite(*(f"scenarios.s{story.replace('-', '_')}" for story in STORIES))


def partner(story: str) -> ModuleType:
    """The module that walks a story: 01-the-jar by s01_the_jar."""
    return importlib.import_module("scenarios.s" + story.replace("-", "_"))


def steps_of(story: str) -> list[int]:
    """The numbers of a story's steps, in order."""
    text = (FOLDER / f"{story}.md").read_text("utf-8")
    return [int(number) for number in re.findall(r"^(\d+)\. ", text, re.MULTILINE)]


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "demo.slotleaf"
    write_demo(path)
    return path


@pytest.fixture
def hands(written: Path, tmp_path: Path) -> Iterator[HeadlessHands]:
    path = Path(shutil.copy(written, tmp_path / "jar.slotleaf"))
    at_the_desk = HeadlessHands(path, lambda: DAY)
    yield at_the_desk
    at_the_desk.close()


def test_there_are_stories_and_each_has_a_partner_that_names_it() -> None:
    assert len(STORIES) >= 6
    partners = {path.stem for path in FOLDER.glob("s[0-9][0-9]_*.py")}
    assert partners == {"s" + story.replace("-", "_") for story in STORIES}
    for story in STORIES:
        assert f"{story}.md" in (partner(story).__doc__ or "")


@pytest.mark.parametrize("story", STORIES)
def test_a_story_is_walked_without_a_screen(story: str, hands: HeadlessHands) -> None:
    told: list[int] = []
    partner(story).walk(hands, told.append)
    assert told == steps_of(story)
    assert told == list(range(1, len(told) + 1))
