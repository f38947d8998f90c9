"""Every scene goes as it was approved: what is said, kept in the register and listened for."""

from __future__ import annotations

import pytest

from tests.approved.playing import FILES, Written, played, scenes_of

SCENES = [
    pytest.param(one, id=f"{file.stem}: {one.title}")
    for file in FILES
    for one in scenes_of(file.read_text("utf-8"))
]


@pytest.mark.parametrize("scene", SCENES)
def test_a_scene_goes_as_it_was_approved(scene: Written):
    assert played(scene) == list(scene.lines)


def test_no_two_scenes_show_the_same():
    titles = [one.id for one in SCENES]
    assert len(set(titles)) == len(titles) > 0
