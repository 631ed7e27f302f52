"""A ratio that no bright card can bring about: who is named as the cause, and where it is told."""

import re
from dataclasses import replace

import pytest

from placing.books import asked, changed
from staging.books import demo
from thirdstop.book.book import LoadedRecipe
from thirdstop.exposure.charging import charge
from thirdstop.exposure.meter import read
from thirdstop.exposure.quality import SCAN
from thirdstop.exposure.transport import solve
from thirdstop.placing.cards_away import out_of_reach
from thirdstop.placing.telling import told
from thirdstop.staging.resolve import stage
from thirdstop.staging.staging import Staging

FILL = """  - name: fill
    lamp: battery 200
    shaper: strip 30 x 90
    power: click 14
    at: {string: 1.6 m, bearing: 40 deg camera-left, height: 1.5 m}
    aim: nose
    stand: {with: stand C, bag: bag 8}
cards:
"""
WITH_FILL = ("cards:\n", FILL)


def staged(one: LoadedRecipe) -> Staging:
    """With its lamps charged."""
    staging, faults = stage(one.recipe, demo().studio, one.marks, one.slug)
    assert staging is not None, faults
    return charge(staging)


@pytest.fixture(scope="module")
def filled() -> LoadedRecipe:
    """A second lamp from the other side, which alone keeps 4:1 away."""
    return changed("borrowed-window", WITH_FILL)


def test_a_second_lamp_is_named_where_it_is_the_cause(filled: LoadedRecipe) -> None:
    """The ratio of the key alone is that of the same set without the card, its other lamp giving no light."""
    lit = staged(filled)
    (fault,) = out_of_reach(lit, 1.9, filled.marks)
    panels = tuple(panel for panel in lit.scene.panels if panel.role != "card")
    key, fill = lit.scene.emitters
    dark = (key, replace(fill, luminance_cd_s_m2=0.0))
    bare = replace(lit, scene=replace(lit.scene, panels=panels, emitters=dark))
    wanted = read(bare, solve(bare.scene, SCAN)).ratio.ratio

    assert "'fill' and the room leave" in fault.wrong
    assert fault.write is not None
    assert fault.write.endswith("less of 'fill', or a black panel")
    found = re.search(r"the key alone ([0-9.]+):1", fault.wrong)
    assert found
    assert float(found[1]) == pytest.approx(wanted, abs=0.051)  # as printed, with one decimal


def test_the_room_alone_is_named_where_there_is_one_lamp() -> None:
    """60:1 in a white room."""
    one = changed("borrowed-window", ("ratio: 4:1", "ratio: 60:1"))
    (fault,) = out_of_reach(staged(one), 4.0, one.marks)

    assert "the room alone leaves" in fault.wrong
    assert fault.write is not None
    assert "a darker room" in fault.write


def test_what_the_set_up_reaches_is_never_out_of_reach(filled: LoadedRecipe) -> None:
    """A folding card's black face may bring what no card's absence does."""
    assert out_of_reach(staged(filled), 3.9, filled.marks) == []


def test_place_tells_what_proof_refuses() -> None:
    """With the recipe's file and line, below what it found all the same."""
    one, answer = asked("borrowed-window", WITH_FILL)

    assert f"{one.file}:37:17: no bright card can reach this" in told(answer, 0.1)
