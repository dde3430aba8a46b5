"""Strengths, dilutions and what the law says of them: published tables, and units that cannot be mixed up."""

from __future__ import annotations

import pytest

from sortbench.engine.condition.peroxide import (
    MassShare,
    Volumes,
    VolumeShare,
    density,
    dilute,
    dilute_by_mass,
    dilute_by_volume,
    mass_share,
    parse_strength,
    volume_share,
    volumes,
)
from sortbench.engine.condition.peroxide_law import check_permitted, hazards
from sortbench.model.errors import DataError


@pytest.mark.parametrize(
    ("litres", "nominal", "exact"),
    # Exact from 2 H2O2 -> 2 H2O + O2 with 34.01468 g/mol and 22.414 L/mol. The nominal 3, 6 and 12 % of 10, 20 and 40
    # volumes stand on safety data sheets.
    [(10, 3, 3.035), (20, 6, 6.070), (30, 9, 9.105), (40, 12, 12.141), (100, 30, 30.351), (130, 39.4, 39.457)],
)
def test_volumes_by_their_definition(litres: float, nominal: float, exact: float) -> None:
    assert volume_share(Volumes(litres)).pct == pytest.approx(exact, abs=0.001)
    assert volumes(VolumeShare(exact)).litres == pytest.approx(litres, abs=0.005)
    assert volume_share(Volumes(litres)).pct == pytest.approx(nominal, rel=0.02)


@pytest.mark.parametrize(
    ("pct", "grams", "wv", "litres"),
    # Densities of an encyclopedia's table (3 % at 15 °C, the others at 20 °C); 35 % is sold as 130 volumes.
    [(3, 1.0095, 3.03, 10.0), (27, 1.10, 29.7, 97.9), (35, 1.13, 39.55, 130.3), (50, 1.20, 60.0, 197.7)],
)
def test_from_mass_share_to_volume_share(pct: float, grams: float, wv: float, litres: float) -> None:
    assert density(MassShare(pct)) == pytest.approx(grams)
    assert volume_share(MassShare(pct)).pct == pytest.approx(wv, rel=0.001)
    assert volumes(MassShare(pct)).litres == pytest.approx(litres, rel=0.005)
    assert mass_share(VolumeShare(wv)).pct == pytest.approx(pct, rel=0.001)
    assert mass_share(Volumes(litres - 0.1)).pct == pytest.approx(pct, rel=0.015)


@pytest.mark.parametrize(
    ("stock", "target", "final", "part", "water"),
    # C1 V1 = C2 V2 in exact fractions.
    [
        (12, 6, 1000, 500, 500),
        (12, 3, 500, 125, 375),
        (6, 3, 2000, 1000, 1000),
        (30, 6, 1000, 200, 800),
        (9, 3, 750, 250, 500),
    ],
)
def test_measuring_out(stock: float, target: float, final: float, part: float, water: float) -> None:
    assert dilute_by_volume(VolumeShare(stock), VolumeShare(target), final) == pytest.approx((part, water))


@pytest.mark.parametrize(
    ("stock", "target", "final", "part", "water"),
    # Mass balance in exact fractions.
    [(11.9, 6, 1000, 504.2017, 495.7983), (12, 3, 500, 125, 375), (6, 3, 1200, 600, 600)],
)
def test_weighing_out(stock: float, target: float, final: float, part: float, water: float) -> None:
    assert dilute_by_mass(MassShare(stock), MassShare(target), final) == pytest.approx((part, water), abs=1e-4)


def test_a_bath_from_any_measure_holds_the_peroxide_of_its_stock() -> None:
    for stock, target in (
        (MassShare(11.9), MassShare(6)),
        (VolumeShare(12), VolumeShare(6)),
        (Volumes(40), MassShare(3)),
    ):
        found = dilute(stock, target, 1500)
        grams = found.mass.stock_g * found.stock.pct / 100
        assert grams == pytest.approx(found.final_g * found.target.pct / 100)
        assert found.mass.stock_g + found.mass.water_g == pytest.approx(found.final_g)
        # The measured stock holds as much as the weighed one.
        assert grams == pytest.approx(found.volume.stock_ml * volume_share(stock).pct / 100)


@pytest.mark.parametrize(
    ("stock", "target", "final"), [(3, 6, 500), (6, 3, 0), (6, 3, -500), (6, 3, float("nan")), (6, 3, float("inf"))]
)
def test_a_dilution_that_cannot_be_is_refused(stock: float, target: float, final: float) -> None:
    for make in (
        lambda: dilute_by_mass(MassShare(stock), MassShare(target), final),
        lambda: dilute_by_volume(VolumeShare(stock), VolumeShare(target), final),
        lambda: dilute(Volumes(stock), Volumes(target), final),
    ):
        with pytest.raises(DataError):
            make()


@pytest.mark.parametrize("value", [0, -1, float("nan"), float("inf"), 1000])
@pytest.mark.parametrize("unit", [MassShare, VolumeShare, Volumes])
def test_a_strength_that_cannot_be_is_refused(unit: type[MassShare], value: float) -> None:
    with pytest.raises(DataError, match="cannot be"):
        unit(value)


def test_strengths_of_unlike_measure_are_never_taken_for_each_other() -> None:
    assert len({MassShare(6), VolumeShare(6), Volumes(6)}) == 3
    with pytest.raises(DataError, match="w/v is another"):
        dilute_by_mass(VolumeShare(12), MassShare(6), 100)  # type: ignore[arg-type]
    with pytest.raises(DataError, match="% w/w is another"):
        dilute_by_volume(VolumeShare(12), MassShare(6), 100)  # type: ignore[arg-type]
    with pytest.raises(DataError, match="not by 8 % w/v"):
        hazards(VolumeShare(8))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("6%w/w", MassShare(6)),
        (" 11,9 % W/W ", MassShare(11.9)),
        ("6 w/v", VolumeShare(6)),
        ("20vol", Volumes(20)),
        ("10 volumes", Volumes(10)),
    ],
)
def test_strengths_as_they_are_typed(text: str, meant: object) -> None:
    assert parse_strength(text) == meant
    assert parse_strength(str(meant)) == meant


@pytest.mark.parametrize("text", ["6", "6%", "w/w", "6 %v/v", "-6%w/w", "6e1%w/w", "0%w/w", "٦%w/w", ""])
def test_a_strength_without_a_sure_unit_is_refused(text: str) -> None:
    with pytest.raises(DataError):
        parse_strength(text)


@pytest.mark.parametrize(
    ("pct", "codes"),
    # Regulation (EC) 1272/2008, Annex VI, 008-003-00-9: Ox 70/50, skin 70/50/35 and H318 from 8 % read in public
    # registries; H319 from 5 to 8 % and H335 from 35 % from memory.
    [
        (3, ""),
        (4.99, ""),
        (5, "H319"),
        (7.99, "H319"),
        (8, "H318"),
        (34.9, "H318"),
        (35, "H315 H318 H335"),
        (49.9, "H315 H318 H335"),
        (50, "H272 H314 H335"),
        (70, "H271 H314 H335"),
    ],
)
def test_hazard_classes(pct: float, codes: str) -> None:
    found = hazards(MassShare(pct))
    assert " ".join(each.code for each in found.statements) == codes
    assert "November 2026" in found.source
    assert "from memory" in found.source
    assert any("H272" in words for words in found.also) == (8 <= pct < 50)
    assert any("H302" in words for words in found.also) == (pct >= 25)
    assert any("not mean harmless" in words for words in found.also) == (pct < 5)


def test_stock_that_the_public_may_not_have_is_refused_unless_a_licence_is_claimed() -> None:
    # Regulation (EU) 2019/1148, Annex I: 12 % w/w.
    strong = dilute(MassShare(35), MassShare(6), 500)
    with pytest.raises(DataError, match="2019/1148"):
        check_permitted(strong, licensed=False)
    warnings = " ".join(check_permitted(strong, licensed=True))
    assert "H315" in warnings
    assert "H335" in warnings
    assert "H318" in warnings
    assert check_permitted(dilute(MassShare(12), MassShare(6), 500), licensed=False) == ()
    # 12 % w/v is less than 12 % w/w, 13 % w/v is more.
    assert check_permitted(dilute(VolumeShare(12), VolumeShare(6), 500), licensed=False) == ()
    with pytest.raises(DataError, match=r"12\.4[0-9]* % w/w"):
        check_permitted(dilute(VolumeShare(13), VolumeShare(6), 500), licensed=False)


@pytest.mark.parametrize(("stock", "target"), [(36, 6), (50, 3), (30, 13)])
def test_what_is_worked_out_for_nobody(stock: float, target: float) -> None:
    with pytest.raises(DataError, match="not worked out here"):
        check_permitted(dilute(MassShare(stock), MassShare(target), 500), licensed=True)


@pytest.mark.parametrize("strength", [MassShare(51), VolumeShare(61), Volumes(210)])
def test_beyond_the_table_of_densities_nothing_is_told(strength: MassShare) -> None:
    with pytest.raises(DataError, match="50 % w/w"):
        dilute(strength, MassShare(6), 500)
