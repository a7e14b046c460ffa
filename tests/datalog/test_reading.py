"""Logs of every layout become the same figures."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from diag.datalog import channels as c
from diag.datalog.heading import read_heading
from diag.datalog.layout import Layout, layouts_from, layouts_text
from diag.datalog.log import Log, Wishes, read_log
from diag.support.errors import StorageError, UserError
from tests.datalog.making import PSI, read, write
from tests.datalog.simulated import Made, as_text, made_log

SHORT = Made(minutes=0.4, off=5.0, dropouts=0.0)
PLAIN = made_log(SHORT)


def same(log: Log, rows: int = 0) -> None:
    """The log holds what was written."""
    count = rows or len(PLAIN.running)
    assert len(log.seconds) == count
    np.testing.assert_allclose(
        log.values[c.RAIL][:count] / PSI, PLAIN.columns["Fuel Pressure (psi)"][:count], atol=1e-3
    )
    np.testing.assert_allclose(np.diff(log.seconds), 1.0 / SHORT.rate, atol=2e-3)


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_every_separator(separator: str, tmp_path: Path) -> None:
    """Comma, semicolon, tab and bar."""
    same(read(tmp_path, as_text(PLAIN.columns, separator)))


@pytest.mark.parametrize("separator", [";", "\t"])
def test_decimal_commas(separator: str, tmp_path: Path) -> None:
    """Figures such as 43,5."""
    same(read(tmp_path, as_text(PLAIN.columns, separator, comma=True)))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16"])
def test_encodings_and_marks(encoding: str, tmp_path: Path) -> None:
    """Byte-order marks and Latin-1, with a degree sign and umlauts in the headings."""
    text = as_text(PLAIN.columns).replace("Coolant (C)", "Kühlmitteltemperatur (°C)")
    log = read(tmp_path, text, encoding)
    same(log)
    assert log.values[c.COOLANT][0] == pytest.approx(273.15 + 60.0, abs=0.2)


@pytest.mark.parametrize("ending", ["\r\n", "\r", "\n\n"])
def test_line_endings(ending: str, tmp_path: Path) -> None:
    """Line ends of all systems, and empty lines between."""
    same(read(tmp_path, as_text(PLAIN.columns).replace("\n", ending)))


def test_quoted_fields_and_thousands(tmp_path: Path) -> None:
    """Quoted headings and figures, and 1,234 for a speed."""
    lines = as_text(PLAIN.columns).splitlines()
    quoted = [",".join(f'"{cell}"' for cell in line.split(",")) for line in lines]
    quoted[5] = quoted[5].replace(f'"{lines[5].split(",")[1]}"', '"1,234"', 1)
    log = read(tmp_path, "\n".join(quoted))
    same(log)
    assert log.values[c.RPM][4] == 1234.0


def test_a_row_of_units_and_a_preamble(tmp_path: Path) -> None:
    """Remarks above the headings, units in a row of their own."""
    lines = as_text(PLAIN.columns).splitlines()
    names = "Time,RPM,MAP,Fuel Pressure,Battery,Throttle,Inj Duty,Coolant"
    units = "s,rpm,kPa,psi,V,%,%,C"
    head = ["Log of the Wren, second run", "", "Driver;Anna", names, units]
    same(read(tmp_path, "\n".join([*head, *lines[1:]])))
    kinds = "float,int,float,float,float,float,float,float"
    same(read(tmp_path, "\n".join([*head, kinds, *lines[1:]])))


def test_a_separator_behind_the_last_field_and_rows_wider_than_the_headings(tmp_path: Path) -> None:
    """Both are common and harmless."""
    lines = as_text(PLAIN.columns).splitlines()
    same(read(tmp_path, "\n".join(line + "," for line in lines)))
    same(read(tmp_path, "\n".join([lines[0], *(line + ",7" for line in lines[1:])])))


@pytest.mark.parametrize(
    ("rail", "manifold"), [("bar", "bar"), ("kPa", "psi"), ("psi", "mbar"), ("MPa", "inHg"), ("kPa", "kPa abs")]
)
def test_units_are_the_same_figure(rail: str, manifold: str, tmp_path: Path) -> None:
    """Units in the heading, whatever they are."""
    per = {"bar": 100.0, "kPa": 1.0, "psi": PSI / 1000.0, "mbar": 0.1, "MPa": 1000.0, "inHg": 3.386389, "kPa abs": 1.0}
    columns = dict(PLAIN.columns)
    pressure = columns.pop("Fuel Pressure (psi)") * PSI / 1000.0 / per[rail]
    inlet = columns.pop("MAP (kPa)") / per[manifold]
    log = read(tmp_path, as_text({**columns, f"Fuel Pressure ({rail})": pressure, f"MAP [{manifold}]": inlet}))
    np.testing.assert_allclose(log.values[c.RAIL] / PSI, PLAIN.columns["Fuel Pressure (psi)"], atol=2e-2)
    np.testing.assert_allclose(log.values[c.MANIFOLD], PLAIN.columns["MAP (kPa)"] * 1000.0 - log.air, atol=30.0)


@pytest.mark.parametrize("name", ["Time (ms)", "Time"])
def test_milliseconds(name: str, tmp_path: Path) -> None:
    """By the heading, or by whole steps."""
    columns = {name: np.round(PLAIN.columns["Time (s)"] * 1000.0), **PLAIN.columns}
    del columns["Time (s)"]
    same(read(tmp_path, as_text(columns)))


@pytest.mark.parametrize(
    "form", ["%H:%M:%S.%f", "%Y-%m-%d %H:%M:%S.%f", "%d.%m.%Y %H:%M:%S.%f", "%I:%M:%S.%f %p", "%H:%M:%S:%f"]
)
def test_clock_times_and_midnight(form: str, tmp_path: Path) -> None:
    """A time of day, with and without a date, through midnight."""
    from datetime import datetime, timedelta

    start = datetime(2026, 5, 3, 23, 59, 50)
    lines = as_text(PLAIN.columns).splitlines()
    stamped = ["Clock," + lines[0].partition(",")[2]]
    for line in lines[1:]:
        first, _, rest = line.partition(",")
        clock = (start + timedelta(seconds=float(first))).strftime(form)
        # After a colon loggers write thousandths, not millionths.
        stamped.append(f"{clock[:-3] if form.endswith(':%f') else clock},{rest}")
    same(read(tmp_path, "\n".join(stamped)))


def test_no_times_but_a_rate(tmp_path: Path) -> None:
    """Without times the rate has to be told."""
    columns = {name: values for name, values in PLAIN.columns.items() if name != "Time (s)"}
    path = write(tmp_path, as_text(columns))
    with pytest.raises(UserError, match="--rate"):
        read_log(path)
    same(read_log(path, {}, Wishes(rate=SHORT.rate)))


def test_gaps_resets_and_repeated_rows(tmp_path: Path) -> None:
    """A pause, a clock that begins anew and rows that stand twice are told and do no harm."""
    lines = as_text(PLAIN.columns).splitlines()
    head, rows = lines[0], lines[1:]
    half = len(rows) // 2
    text = "\n".join([head, *rows[:200], *rows[190:200], *rows[200:half], head, *rows[:100], *rows[half + 60 :]])
    log = read(tmp_path, text)
    said = " ".join(log.remarks)
    assert "clock began anew" in said
    assert "could not be read" in said  # the heading in the middle
    assert log.stretch[-1] >= 2
    assert (np.diff(log.seconds) >= 0.0).all()
    doubled = read(tmp_path, "\n".join([head, *[row for row in rows for _ in (0, 1)]]))
    assert f"{len(rows)} rows stand twice" in " ".join(doubled.remarks)
    same(doubled)


def test_coarse_stamps_are_spread(tmp_path: Path) -> None:
    """Twenty rows a second stamped in whole seconds keep their rate."""
    columns = {**PLAIN.columns, "Time (s)": np.floor(PLAIN.columns["Time (s)"])}
    log = read(tmp_path, as_text(columns))
    assert log.step == pytest.approx(1.0 / SHORT.rate, rel=0.02)


def test_text_in_numbers_and_missing_cells(tmp_path: Path) -> None:
    """ERR, blanks, a unit behind the figure, half a line: what is no number is missing, never zero."""
    lines = as_text(PLAIN.columns).splitlines()
    cells = [line.split(",") for line in lines]
    for row, text in ((10, "ERR"), (11, ""), (12, "NaN"), (13, "--"), (14, "inf"), (15, "43.9 psi")):
        cells[row][3] = text
    lines = [",".join(row) for row in cells]
    lines[20] = ",".join(cells[20][:4])
    log = read(tmp_path, "\n".join([*lines[:-1], lines[-1][:5]]))
    rail = log.values[c.RAIL] / PSI
    assert np.isnan(rail[9:14]).all()
    assert rail[14] == pytest.approx(43.9, abs=1e-3)
    assert np.isfinite(rail[19])
    assert np.isnan(log.values[c.COOLANT][19])


def test_channels_logged_at_different_rates(tmp_path: Path) -> None:
    """A slow channel leaves its cells empty most of the time."""
    lines = as_text(PLAIN.columns).splitlines()
    rows = [line.split(",") for line in lines]
    for at, row in enumerate(rows[1:]):
        if at % 10:
            row[4] = row[7] = ""
    log = read(tmp_path, "\n".join(",".join(row) for row in rows))
    same(log)
    assert np.isfinite(log.values[c.BATTERY]).sum() == pytest.approx(len(log.seconds) / 10, abs=1)


HEADINGS = [
    ("Fuel Pressure (psi)", c.RAIL), ("FuelPress_kPa", c.RAIL), ("fuel press [bar]", c.RAIL), ("Rail P psi", c.RAIL),
    ("FP", c.RAIL), ("Kraftstoffdruck [bar]", c.RAIL), ("Pression carburant (bar)", c.RAIL),
    ("MAP kPa", c.MANIFOLD), ("Manifold Absolute Pressure", c.MANIFOLD), ("Boost Pressure (psi)", c.MANIFOLD),
    ("Saugrohrdruck", c.MANIFOLD), ("Engine Speed (rpm)", c.RPM), ("RPM", c.RPM), ("Motordrehzahl [1/min]", c.RPM),
    ("TPS %", c.THROTTLE), ("Battery Voltage (V)", c.BATTERY), ("Fuel Pump Volts", c.PUMP_VOLTS),
    ("Inj Duty (%)", c.DUTY), ("Injector Duty Cycle", c.DUTY), ("Coolant Temp (C)", c.COOLANT),
    ("Fuel Temperature (F)", c.FUEL_HEAT), ("Fuel Flow (L/h)", c.FLOW), ("Baro kPa", c.AIR), ("Time (s)", c.TIME),
    ("Fuel Differential Pressure (psi)", c.DIFFERENCE),
]  # fmt: skip


@pytest.mark.parametrize(("heading", "channel"), HEADINGS)
def test_headings_are_known_by_meaning(heading: str, channel: str) -> None:
    """Names as loggers write them, in several languages."""
    assert list(c.matched([read_heading(heading)])) == [channel]


@pytest.mark.parametrize(
    "heading",
    ["Oil Pressure (psi)", "Fuel Pressure Target (psi)", "MAP Sensor Voltage (V)", "Fuel Pump Duty (%)", "Lambda 1",
     "Boost Target (kPa)", "Wheel Speed (rpm)", "Brake Pressure (bar)", "Fuel Level (%)", "Tyre Temp", "Gear",
     "Fuel Trim (%)", "Exhaust Pressure (kPa)", "Ignition Angle", "Injector 1 On-Time (ms)", "Battery Warning"],
)  # fmt: skip
def test_other_channels_are_left_alone(heading: str) -> None:
    """Aims, other fluids and other sensors are not taken for what is measured here."""
    assert c.matched([read_heading(heading)]) == {}


def test_a_wish_beats_the_headings_and_is_remembered(tmp_path: Path) -> None:
    """Told columns win; a confirmed layout is known again by its headings, whatever the figures."""
    columns = {**PLAIN.columns, "P7": PLAIN.columns["Fuel Pressure (psi)"] + 5.0}
    log = read(tmp_path, as_text(columns), rail_pressure="P7=psi")
    assert log.layout.columns[c.RAIL].heading == "P7"
    kept = layouts_from(layouts_text({log.layout.mark: log.layout}), "kept")
    again = read_log(write(tmp_path, as_text(columns)), kept)
    assert again.layout.sure
    assert again.layout.columns[c.RAIL].heading == "P7"
    np.testing.assert_allclose(again.values[c.RAIL], log.values[c.RAIL])
    other = read_log(write(tmp_path, as_text(PLAIN.columns)), kept)
    assert not other.layout.sure


def test_the_file_of_layouts_survives_what_it_does_not_know() -> None:
    """A newer format is passed over, an unknown channel too."""
    assert layouts_from("format: 99\nlayouts: []\n", "f") == {}
    text = layouts_text({"m": Layout("m", {}, True)})
    assert layouts_from(text, "f")["m"].columns == {}


def test_absolute_and_gauge_are_told_apart_by_the_engine_at_rest(tmp_path: Path) -> None:
    """A manifold column called gauge that reads the air's pressure at rest is absolute, and that is said."""
    columns = dict(PLAIN.columns)
    absolute = columns.pop("MAP (kPa)")
    log = read(tmp_path, as_text({**columns, "MAP gauge (kPa)": absolute}))
    assert any("called gauge" in remark for remark in log.remarks)
    assert np.median(log.values[c.MANIFOLD][:40]) == pytest.approx(0.0, abs=500.0)
    shown = read(tmp_path, as_text({**columns, "Boost (kPa)": absolute - SHORT.air_kpa}))
    np.testing.assert_allclose(shown.values[c.MANIFOLD], log.values[c.MANIFOLD], atol=400.0)


def test_vacuum_counts_downwards(tmp_path: Path) -> None:
    """A vacuum column holds positive figures below the air's pressure."""
    columns = dict(PLAIN.columns)
    gauge = columns.pop("MAP (kPa)") - SHORT.air_kpa
    log = read(tmp_path, as_text({**columns, "Manifold vacuum (inHg)": np.maximum(-gauge, 0.0) / 3.386389}))
    assert float(np.nanmin(log.values[c.MANIFOLD])) < -50_000.0


def test_a_logged_difference_gives_the_rail(tmp_path: Path) -> None:
    """Pressure across the injectors plus the manifold's is the rail's."""
    columns = dict(PLAIN.columns)
    rail = columns.pop("Fuel Pressure (psi)")
    across = rail - (columns["MAP (kPa)"] - SHORT.air_kpa) / (PSI / 1000.0)
    log = read(tmp_path, as_text({**columns, "Fuel Differential Pressure (psi)": across}))
    np.testing.assert_allclose(log.values[c.RAIL] / PSI, rail, atol=0.1)


@pytest.mark.parametrize(
    ("text", "says"),
    [("", "no readings"), ("hello", "no readings"), ("a,b\nc,d\n", "No readings were found"),
     ("1,2\n3,4\n5,6\n", "headings"), ("Time,RPM\n0,900\n1,900\n2,900\n", "among: Time, RPM")],
)  # fmt: skip
def test_what_is_no_log_is_refused_in_one_line(text: str, says: str, tmp_path: Path) -> None:
    """Each with the file's name and what is wrong."""
    with pytest.raises(UserError, match=says) as told:
        read(tmp_path, text)
    assert "run.csv" in told.value.one_line()


def test_no_file_and_no_ordinary_file(tmp_path: Path) -> None:
    """A missing file and a folder are errors of the disk."""
    for path in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(StorageError):
            read_log(path)


def test_a_long_log_is_read_in_pieces_and_thinned(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond the rows that are kept, neighbours are averaged, and their scatter is not lost."""
    from diag.datalog import rows

    whole = read(tmp_path, as_text(PLAIN.columns))
    monkeypatch.setattr(rows, "MOST_ROWS", len(PLAIN.running) // 4)
    thin = read(tmp_path, as_text(PLAIN.columns))
    assert len(thin.seconds) < 0.4 * len(whole.seconds)
    assert thin.read == whole.read
    assert np.median(thin.values[c.RAIL]) == pytest.approx(np.median(whole.values[c.RAIL]), rel=0.02)
    assert np.median(thin.scatter) / PSI == pytest.approx(SHORT.noise, rel=0.35)
