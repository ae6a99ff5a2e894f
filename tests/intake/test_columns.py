"""Which column is taken for what, where names leave it open."""

from webapp.intake.columns import labels, letter, plan_columns
from webapp.trade.bom import Field


def fields(header: list[str] | None, rows: list[list[str]]) -> dict[str, str]:
    plan = plan_columns(header, rows)
    return {column.field.value: column.label for column in plan.columns if column.field is not None}


def test_part_means_what_stands_below_it() -> None:
    designators = [["C1", "1u"], ["C2", "1u"], ["R1", "1k"]]
    assert fields(["Part", "Value"], designators)["refdes"] == "Part"
    numbers = [["AC-0603-104", "C1"], ["AR-0402-10K", "R1"], ["ZX7001AMZ", "U1"]]
    found = fields(["Part", "Ref Des"], numbers)
    assert found["refdes"] == "Ref Des"
    assert found["mpn"] == "Part"


def test_running_numbers_are_no_quantity() -> None:
    rows = [[str(i), f"R{i}", "1"] for i in range(1, 9)]
    assert fields(["No.", "Ref", "Qty"], rows)["qty"] == "Qty"
    assert "qty" not in fields(["No.", "Ref", "Price"], rows)


def test_designators_under_an_unknown_name_are_found_but_less_sure() -> None:
    rows = [["R1, R2", "AB", "2"], ["C1", "AC", "1"], ["U1", "AD", "1"]]
    plan = plan_columns(["Stelle im Plan", "MPN", "Qty"], rows)
    column = plan.columns[0]
    assert column.field is Field.REFDES
    assert column.confidence < 0.5


def test_package_codes_are_no_designators() -> None:
    rows = [[f"C{i}", "C0603"] for i in range(1, 20)]
    assert fields(["Pos", "Form"], rows) == {"refdes": "Pos"}


def test_a_type_over_packages_is_no_part_number() -> None:
    rows = [["C1", "CAP_0603", "1u"], ["R1", "RES_0603", "1k"], ["U1", "SO8", "ZX7001"]]
    assert "mpn" not in fields(["RefDes", "Type", "Value"], rows)


def test_one_vendor_in_a_whole_column_sells() -> None:
    rows = [[f"R{i}", "1k", "Shop", f"AR-{i}XY"] for i in range(9)]
    found = fields(["Ref", "Value", "Vendor", "Vendor P/N"], rows)
    assert "manufacturer" not in found
    assert "mpn" not in found


def test_values_speak_for_themselves_under_an_unknown_name() -> None:
    rows = [["R1", "1k"], ["R2", "4k7"], ["U1", "ZX7001"]]
    assert fields(["Ref", "Grandeur"], rows)["value"] == "Grandeur"


def test_a_persons_mapping_replaces_the_guess_wholly() -> None:
    plan = plan_columns(["Designator", "Qty", "MPN"], [["C1", "1", "A"]], {Field.REFDES: 2, Field.VALUE: 99})
    assert [column.field for column in plan.columns] == [None, None, Field.REFDES]


def test_samples_are_different_values() -> None:
    plan = plan_columns(["Designator", "Value"], [["C1", "1u"], ["C2", "1u"], ["C3", "2u"]])
    assert plan.columns[1].samples == ("1u", "2u")


def test_letters_and_labels() -> None:
    assert [letter(i) for i in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]
    assert labels(["Qty", "", "Part\nNumber", "Qty"]) == ["Qty [A]", "B", "Part Number", "Qty [D]"]
