"""The list of parts and the page of one part."""

from dataclasses import replace

from extract.schema import ChartName, Curve, Kind, Place, Quantity, Status
from holdtrip.library.records import Signature, Target
from holdtrip.library.store import Library, open_library


def numbers(site, **asked: object) -> list[str]:
    """Part numbers found, in order."""
    return [row["part"]["part_number"] for row in site.client.get("/api/parts", params=asked).json()["rows"]]


def test_search_range_and_order(site) -> None:
    """Text in the number, however typed; a range of hold current; order both ways; only so many shown."""
    with open_library(site.library) as library:
        rows = {row.part_number: row for row in library.list_parts()}
    every = {number: row.hold_current_max_a for number, row in rows.items()}
    assert set(numbers(site)) == set(every)
    assert set(numbers(site, like="qk12 0")) == {number for number in every if number.startswith("QK12-0")}
    within = numbers(site, hold_min_a=0.5, hold_max_a=1.0)
    assert within
    assert set(within) == {
        number for number, row in rows.items() if row.hold_current_max_a is None
        or (row.hold_current_max_a >= 0.5 and row.hold_current_min_a <= 1.0)}
    up = numbers(site, like="QK", order="hold_current")
    assert [every[number] for number in up] == sorted(every[number] for number in up)
    assert numbers(site, like="QK", order="hold_current", descending=True) == up[::-1]
    short = site.client.get("/api/parts", params={"limit": 2}).json()
    assert (len(short["rows"]), short["found"]) == (2, len(every))


def test_parts_are_searched_by_what_they_give(site) -> None:
    """Voltage, fault current, resistance and trip time, pages of the list; a part is left out only if all its
    numbers are out of the range; a corrected number counts by its right value."""
    every = site.client.get("/api/parts", params={"limit": 1000}).json()["rows"]
    volts = {row["part"]["part_number"]: row["facts"]["max_voltage_v"][1] for row in every}
    middle = sorted(volts.values())[len(volts) // 2]
    found = numbers(site, voltage_min_v=middle)
    assert set(found) == {number for number, value in volts.items() if value >= middle}
    assert set(numbers(site, time_max_s=0.001)) == {
        row["part"]["part_number"] for row in every if row["facts"]["time_to_trip_s"] is None}
    first = site.client.get("/api/parts", params={"limit": 5}).json()["rows"]
    second = site.client.get("/api/parts", params={"limit": 5, "offset": 5}).json()["rows"]
    assert [*first, *second] == every[:10]
    down = numbers(site, order="voltage", descending=True)
    assert [volts[number] for number in down] == sorted(volts.values(), reverse=True)
    with open_library(site.library) as library:
        part = library.list_parts()[0]
        target = Target(part.part_number, part.sha256, quantity=Quantity.MAX_VOLTAGE)
        library.correct(target, 7.5, Signature("Ann", "vendor's letter"))
    told = next(row for row in site.client.get("/api/parts").json()["rows"]
                if row["part"]["part_number"] == part.part_number)
    assert told["facts"]["max_voltage_v"] == [7.5, 7.5]


def test_one_part_tells_its_whole_story(site) -> None:
    """Its numbers with the whole series' ones, each with its place, and who imported it."""
    asked = {"number": "QK12-036-30", "sheet": site.sheet("quarrowick_qk.pdf")}
    one = site.client.get("/api/parts/one", params=asked).json()
    assert {number["part_number"] for number in one["numbers"]} <= {"QK12-036-30", "*"}
    assert all(number["place"]["page"] >= 1 for number in one["numbers"])
    assert one["events"][0]["who"] == "Ann"
    assert site.client.get("/api/parts/one", params={**asked, "number": "none"}).status_code == 404


def test_a_part_s_plot_draws_what_its_sheet_tabulates(site, monkeypatch) -> None:
    """Hold at every ambient of the sheet and each test point; a chart's curve beside them, cut to what a
    logarithmic axis can show; nothing is asked of it."""
    asked = {"number": "QK12-036-30", "sheet": site.sheet("quarrowick_qk.pdf")}
    found = site.client.get("/api/parts/curves", params=asked).json()
    numbers = site.client.get("/api/parts/one", params=asked).json()["numbers"]
    rated = {one["value"] for one in numbers if one["quantity"] == "hold current"}
    assert rated
    assert rated <= {piece["from_a"] for piece in found["hold"] if piece["basis"] == "data"}
    assert {one["time_s"] for one in found["times"]} == {
        one["value"] for one in numbers if one["quantity"] == "time to trip"}
    assert (found["drawn"], found["asked"]) == ([], None)
    curve = Curve("quarrowick_qk.pdf", asked["sheet"], "QK12-036-30", ChartName.TIME_TO_TRIP, Kind.TYP, 25.0,
                  ((0.0, 9.0), (1.0, 8.0), (2.0, 2.0)), Status.SINGLE, Place(2, 0, 0, 1, 1), "B", 0.02, 0.02)
    real = Library.part
    monkeypatch.setattr(Library, "part",
                        lambda *args: tuple(replace(one, curves=(curve,)) for one in real(*args)))
    drawn = site.client.get("/api/parts/curves", params=asked).json()["drawn"]
    assert drawn == [{"points": [[1.0, 8.0], [2.0, 2.0]], "status": "single", "page": 2, "ambient_c": 25.0}]
    assert site.client.get("/api/parts/curves", params={**asked, "number": "none"}).status_code == 404
