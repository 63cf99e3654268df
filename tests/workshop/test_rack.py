"""How a shaft of the rack is judged."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

from loosewell.records import Arrow, Fletching, Shaft
from loosewell.workshop import bridge, rack

USUAL = bridge.standard_fletching()


def job(arrow: Arrow) -> Any:
    plain = bridge.parts(125.0, USUAL, "field")
    return SimpleNamespace(
        arrows=[arrow],
        length_in=28.0,
        parts=plain,
        point_gr=125.0,
        fletching=USUAL,
        plan=SimpleNamespace(point_kind="field"),
        minimum_in=27.5,
    )


def test_a_bare_shaft_is_judged_with_feathers_on() -> None:
    shaft = Shaft(name="S", length_in=31.0)
    bare = Arrow(
        name="bare", shaft="S", length_in=28.0, point_weight_gr=125.0,
        fletching=Fletching(material="none"),
    )  # fmt: skip
    feathered = bare.model_copy(update={"name": "feathered", "fletching": USUAL})
    found = [cast(rack.Build, rack.build_of(job(one), shaft)) for one in (bare, feathered)]
    assert found[0].parts == found[1].parts
    assert found[0].parts.count == 3
    assert rack.is_bare(bare)
    assert not rack.is_bare(feathered)
    assert not rack.is_bare(Arrow(name="unknown", shaft="S"))
