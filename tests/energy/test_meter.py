"""Energy at the charger's meter: what one meter showed is counted once."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.energy.meter import meter_shares, meter_total, session_kwh, sessions_of
from logbook.energy.record import ChargeFacts


def row(
    name: str,
    pack: str,
    *,
    own: float | None = None,
    shared: float | None = None,
    start: float = 40,
    at: int = 0,
):
    return ChargeFacts(name, pack, at, at + 60, "east", None, start, 100, own, shared)


def test_one_meter_for_two_packs_stays_what_it_showed_in_every_total() -> None:
    rows = [row("C1", "P1", shared=12.4), row("C1", "P2", shared=12.4, start=70)]
    assert session_kwh(rows) == 12.4
    assert meter_total(rows) == (12.4, 1, 0)
    shares = meter_shares(rows, {"P1": 10.0, "P2": 10.0}.get)
    assert sum(share.kwh or 0 for share in shares) == 12.4
    assert shares[0].kwh == pytest.approx(12.4 * 60 / 90)


def test_it_stays_so_where_each_pack_has_its_own_row_id() -> None:
    rows = [row("C1-1", "P1", shared=12.4), row("C1-2", "P2", shared=12.4)]
    assert meter_total(rows) == (12.4, 1, 0)
    later = [*rows, row("C2-1", "P1", shared=12.4, at=5000), row("C2-2", "P2", shared=12.4, at=5000)]
    assert meter_total(later).kwh == pytest.approx(24.8)


def test_the_share_follows_what_was_filled_and_each_packs_capacity() -> None:
    rows = [row("C1", "P1", shared=12.0), row("C1", "P2", shared=12.0)]
    assert [s.kwh for s in meter_shares(rows, {"P1": 10.0, "P2": 5.0}.get)] == pytest.approx([8.0, 4.0])
    assert [s.kwh for s in meter_shares(rows, {"P1": 10.0}.get)] == pytest.approx([6.0, 6.0])
    assert "points filled" in meter_shares(rows)[0].how
    unread = [row("C1", "P1", shared=12.0)._replace(soc_start_pct=None), rows[1]]
    assert "equally" in meter_shares(unread)[0].how


def test_own_meters_are_added_and_a_whole_meter_is_not_added_to_them() -> None:
    own = [row("C1", "P1", own=6.0), row("C1", "P2", own=5.0)]
    both = [row("C1", "P1", own=6.0, shared=12.1), row("C1", "P2", own=5.0, shared=12.1)]
    assert session_kwh(own) == 11.0
    assert session_kwh(both) == 12.1
    assert [share.kwh for share in meter_shares(both)] == pytest.approx([12.1 * 6 / 11, 12.1 * 5 / 11])
    assert [share.kwh for share in meter_shares(own)] == [6.0, 5.0]


def test_sessions_without_a_meter_are_counted_as_missing_not_as_nothing() -> None:
    rows = [row("C1", "P1", own=6.0), row("C2", "P1"), row("C3", "P1")]
    assert meter_total(rows) == (6.0, 3, 2)
    assert meter_shares(rows[1:2])[0].kwh is None


@given(
    st.floats(0.1, 100),
    st.lists(st.tuples(st.integers(0, 100), st.floats(1, 40)), min_size=1, max_size=4),
)
def test_the_shares_always_add_up_to_the_meter(total: float, packs: list[tuple[int, float]]) -> None:
    rows = [row("C1", f"P{i}", shared=total, start=start) for i, (start, _) in enumerate(packs)]
    usable = {f"P{i}": kwh for i, (_, kwh) in enumerate(packs)}
    shares = [share.kwh or 0.0 for share in meter_shares(rows, usable.get)]
    assert sum(shares) == pytest.approx(total, rel=1e-12)
    assert min(shares) >= -1e-9
    assert meter_total(rows).kwh == total


def test_rows_of_a_session_stay_together() -> None:
    rows = [row("C1", "P1"), row("C2", "P1"), row("C1", "P2")]
    assert [[r.serial_no for r in session] for session in sessions_of(rows)] == [["P1", "P2"], ["P1"]]
