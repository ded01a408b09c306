"""Accuracies, uncertainties and meters."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant import catalog
from assistant.errors import DocumentError, OperatorError
from assistant.messages import Limits
from assistant.verdict import Accuracy, Meter, judge, meters_from, parse_accuracy
from assistant.verdict.uncertainty import rounded

D = Decimal


@pytest.mark.parametrize(
    ("text", "percent", "counts"),
    [
        ("0.8%+2", "0.8", "2"),
        ("±(0.8% + 2)", "0.8", "2"),
        ("+/-(0.8% + 2)", "0.8", "2"),
        ("±0.8%+2 dgt", "0.8", "2"),
        ("0.8%+2dgts", "0.8", "2"),
        ("0.8 % of reading + 2 counts", "0.8", "2"),
        ("0.8% rdg + 2 digits", "0.8", "2"),
        ("0.8 percent + 2 d", "0.8", "2"),
        ("0.5%", "0.5", "0"),
        (".5% + 1", "0.5", "1"),
        ("3 counts", "0", "3"),
        ("0%+0", "0", "0"),
    ],
)
def test_accuracies_are_read(text: str, percent: str, counts: str) -> None:
    assert parse_accuracy(text, D(1)) == Accuracy(D(percent), D(counts), D(1))


@pytest.mark.parametrize(
    "text",
    ["", "  ", "±", "()", "good", "0.8", "0.8%2", "+2", "%", "0.8%+", "-0.8%+2", "0.8%-2", "0.8%+2+3", "0,8%+2",
     "1e3%", "0.8%+2 volts", "nan%", "200%"],
)  # fmt: skip
def test_nonsense_is_refused_with_a_sentence(text: str) -> None:
    with pytest.raises(OperatorError) as caught:
        parse_accuracy(text)
    assert str(caught.value).endswith(".")
    assert repr(text)[1:-1] in str(caught.value)


@pytest.mark.parametrize(
    ("accuracy", "step", "value", "half"),
    [
        # meter-error arithmetic a = reading x p/100 + counts x last digit (public worked examples)
        ("1%+2", "0.1", "100.0", "1.2"),  # 98.8 to 101.2 V
        ("0.5%+1", "0.001", "1.755", "0.009775"),
        ("0.08%+2", "0.001", "2.000", "0.0036"),  # 1.9964 to 2.0036 V
        ("0.03%+10", "0.001", "79.999", "0.0339997"),  # printed as 0.034 V
        # constructed
        ("0.8%+2", "1", "2980", "25.84"),
        ("0.5%+2", "0.01", "9.62", "0.0681"),
        ("0.5%+2", "0.01", "-9.62", "0.0681"),
        ("0.5%+2", "0.01", "0", "0.02"),
    ],
)
def test_half_widths(accuracy: str, step: str, value: str, half: str) -> None:
    assert parse_accuracy(accuracy, D(step)).half_width(D(value)) == D(half)


@pytest.mark.parametrize(
    ("accuracy", "step", "value", "u", "expanded"),
    [
        # rectangular distribution, u = a/sqrt(3), U = 2u: JCGM 100 4.3.7 (from memory)
        ("0.8%+2", "1", "2980", "14.919", "29.837"),
        ("0.5%+2", "0.01", "9.62", "0.03932", "0.07864"),
    ],
)
def test_standard_and_expanded(accuracy: str, step: str, value: str, u: str, expanded: str) -> None:
    found = parse_accuracy(accuracy, D(step))
    judged = judge(D(value), "ohm", Limits(None, D(10_000)), found)
    assert judged.uncertainty / 2 == pytest.approx(D(u), rel=D("1e-4"))
    assert judged.uncertainty == pytest.approx(D(expanded), rel=D("1e-4"))


@pytest.mark.parametrize(
    ("accuracy", "text"),
    [
        ("0.80%+2", "± (0.8% + 2 counts)"), ("0.5%", "± 0.5%"), ("3 counts", "± (0% + 3 counts)"),
        ("100%+10", "± (100% + 10 counts)"),
    ],
)  # fmt: skip
def test_an_accuracy_is_shown_as_data_sheets_write_it(accuracy: str, text: str) -> None:
    assert str(parse_accuracy(accuracy)) == text


def test_without_a_resolution_the_last_digit_read_out_counts() -> None:
    accuracy = parse_accuracy("0%+2")
    assert accuracy.half_width(D("9.62")) == D("0.02")
    assert accuracy.half_width(D("2980")) == D(2)


@pytest.mark.parametrize(
    ("value", "text"),
    [("29.837461", "30"), ("0.07863", "0.079"), ("149.6", "150"), ("0", "0"), ("0.9999", "1.0"), ("1234", "1200")],
)
def test_uncertainties_are_printed_with_two_figures(value: str, text: str) -> None:
    assert f"{rounded(D(value)):f}" == text


@given(st.decimals("0.001", "100000", places=3), st.decimals("0", "5", places=2), st.integers(0, 20))
def test_more_percent_and_more_counts_never_narrow(value: Decimal, percent: Decimal, counts: int) -> None:
    here = Accuracy(percent, D(counts), D("0.1")).half_width(value)
    assert Accuracy(percent + 1, D(counts), D("0.1")).half_width(value) > here
    assert Accuracy(percent, D(counts + 1), D("0.1")).half_width(value) > here
    assert Accuracy(percent, D(counts), D("0.1")).half_width(-value) == here


TABLE = {
    "name": "two",
    "range": [
        {"unit": "ohm", "top": D(1999), "resolution": 1, "accuracy": "0.8%+2"},
        {"unit": "ohm", "top": D("199.9"), "resolution": D("0.1"), "accuracy": "1%+5", "dial": "ohms, 200"},
        {"unit": "V", "top": 20, "resolution": D("0.01"), "accuracy": "0.5%+3"},
        {"unit": "V", "top": 20, "resolution": D("0.01"), "accuracy": "1.2%+10", "ac": True},
    ],
}


@pytest.mark.parametrize(
    ("unit", "value", "resolution"),
    [
        ("ohm", "0", "0.1"),
        ("ohm", "199.9", "0.1"),
        ("ohm", "199.91", "1"),
        ("ohm", "-150", "0.1"),
        ("ohm", "1999", "1"),
        ("ohm", "1999.1", None),
        ("V", "12.6", "0.01"),
        ("A", "1", None),
    ],
)
def test_the_smallest_range_that_shows_the_value_is_used(unit: str, value: str, resolution: str | None) -> None:
    found = Meter.from_table(TABLE).accuracy_for(unit, D(value))
    assert (found.resolution if found else None) == (D(resolution) if resolution else None)


def test_a_meter_goes_by_its_title_and_without_one_by_its_name() -> None:
    assert Meter.from_table(TABLE).title == "two"
    assert Meter.from_table({**TABLE, "title": "pocket meter"}).title == "pocket meter"


def test_only_a_meter_that_says_so_is_invented() -> None:
    assert not Meter("two", "pocket meter", ()).invented
    assert not Meter.from_table(TABLE).invented
    assert Meter.from_table({**TABLE, "invented": True}).invented


def test_alternating_current_has_its_own_ranges() -> None:
    meter = Meter.from_table(TABLE)
    direct, alternating = meter.accuracy_for("V", D(2)), meter.accuracy_for("V", D(2), ac=True)
    assert direct == parse_accuracy("0.5%+3", D("0.01"))
    assert alternating == parse_accuracy("1.2%+10", D("0.01"))
    lowest = meter.lowest_range("ohm")
    assert lowest is not None
    assert lowest.dial == "ohms, 200"
    assert meter.lowest_range("A") is None


def test_ranges_serve_sibling_units_exactly() -> None:
    meter = Meter.from_table(TABLE).in_units({"ohm": {"kohm": -3}, "V": {"mV": 3}})
    kilohm = meter.range_for("kohm", D("1.18"))
    assert kilohm is not None
    assert (kilohm.top, kilohm.resolution) == (D("1.999"), D("0.001"))
    ohms = Meter.from_table(TABLE).accuracy_for("ohm", D(1180))
    assert ohms is not None
    assert kilohm.accuracy.half_width(D("1.180")) * 1000 == ohms.half_width(D(1180))


def test_every_fault_of_a_table_is_named_at_once() -> None:
    table = {"name": "", "colour": "red", "range": [{"unit": "", "top": 0, "accuracy": "x", "size": 1}, 7]}
    with pytest.raises(DocumentError) as caught:
        meters_from({"meter": [table], "other": 1})
    text = str(caught.value)
    for word in ("name", "colour", "unit", "top", "resolution", "'x' is not an accuracy", "size", "range 2", "other"):
        assert word in text
    ranges = {one.where.partition(" / ")[2] for one in caught.value.findings if "range" in one.where}
    faults = {f"range 1 / {key}" for key in ("size", "unit", "top", "resolution", "accuracy")}
    assert ranges == faults | {"range 2"}


@pytest.mark.parametrize("key", ["top", "resolution"])
def test_a_range_that_ends_at_zero_or_steps_by_nothing_is_refused(key: str) -> None:
    """No display has such a range: what it would show cannot be told apart."""
    with pytest.raises(DocumentError, match=f"range 1 / {key}"):
        Meter.from_table(
            {"name": "bare", "range": [{"unit": "ohm", "top": 600, "resolution": 1, "accuracy": "1%", key: 0}]}
        )


def test_a_name_twice_and_a_meter_without_ranges_are_refused() -> None:
    with pytest.raises(DocumentError, match="stands twice"):
        meters_from({"meter": [TABLE, TABLE]})
    with pytest.raises(DocumentError, match=r"at least one \[\[meter.range\]\]"):
        meters_from({"meter": [{"name": "bare"}]})


def test_our_meters_are_marked_invented_and_plausible() -> None:
    meters = catalog.load_meters()
    assert {"pocket", "shop", "bench"} <= meters.keys()
    counts = {"pocket": 2000, "shop": 6000, "bench": 20000}
    for name, meter in meters.items():
        assert meter.invented
        assert "invented" not in meter.title, "a record of a real unit names its meter"
        for one in meter.ranges:
            assert one.top < counts[name] * one.resolution
            assert D(0) < one.accuracy.percent <= 3
            assert one.dial
            assert one.hole
        assert meter.accuracy_for("ohm", D(1180)) is not None
        assert meter.accuracy_for("kohm", D("1.18")) is not None
        assert meter.accuracy_for("mV", D(200), ac=True) is not None


def test_a_shop_adds_and_replaces_meters(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "dialogs" / "tables"
    folder.mkdir(parents=True)
    row = '[[meter.range]]\nunit = "ohm"\ntop = 3999\nresolution = 1\naccuracy = "1%+1"\n'
    (folder / "meters.toml").write_text(
        f'[[meter]]\nname = "ours"\n{row}[[meter]]\nname = "pocket"\n{row}', encoding="utf-8"
    )
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path))
    meters = catalog.load_meters()
    assert {"ours", "pocket", "shop", "bench"} <= meters.keys()
    assert meters["pocket"].accuracy_for("ohm", D(3999)) == parse_accuracy("1%+1", D(1))
    assert catalog.load_meter(" OURS ").name == "ours"


def test_an_unknown_meter_names_those_that_exist() -> None:
    with pytest.raises(OperatorError, match=r"no meter 'brass'.*bench, pocket, shop"):
        catalog.load_meter("brass")
