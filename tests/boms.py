"""Invented bills of materials and placement files for the tests of uploading."""

# Semicolons; a title row; one row under a heading "not fitted"; a fiducial; a total below.
HARBOUR = (
    b"Harbour logger HL-2;;;;;\r\n"
    b"Designator;Qty;MPN;Manufacturer;Value;Package\r\n"
    b"R1, R2;2;GR-104-X7;Kelvarn;10k;0402\r\n"
    b"R3-R5;3;GR-220-X7;Kelvarn;22R;0402\r\n"
    b"C1,C10;2;00471;Ostrava Caps;100n;0603\r\n"
    b"U1;1;MX-800;Norrlund;;QFN-32\r\n"
    b"FD1;1;;;Fiducial;\r\n"
    b"Not fitted:;;;;;\r\n"
    b"J1;1;CN-4;Kelvarn;;SMD-4\r\n"
    b"Total;9;;;;\r\n"
)

# A later state of the same board: R5 gone, R6 new, C1 another part, J1 now fitted.
HARBOUR_LATER = (
    b"Designator;Qty;MPN;Manufacturer;Value;Package\n"
    b"R1, R2;2;GR-104-X7;Kelvarn;10k;0402\n"
    b"R3,R4,R6;3;GR-220-X7;Kelvarn;22R;0402\n"
    b"C1;1;00999;Ostrava Caps;220n;0603\n"
    b"C10;1;00471;Ostrava Caps;100n;0603\n"
    b"U1;1;MX-800;Norrlund;;QFN-32\n"
    b"J1;1;CN-4;Kelvarn;;SMD-4\n"
)

# Heads that say nothing for certain: that "Article" is the part number and "Firm house" the maker, a person has to say.
UNCLEAR = (
    b"Place;Pieces;Article;Firm house;Size\n"
    b"R1,R2;2;GR-104-X7;Kelvarn;0402\n"
    b"C1,C2;2;00471;Ostrava Caps;0603\n"
    b"U1;1;MX-800;Norrlund;QFN-32\n"
    b"L1;1;LQ-22;Kelvarn;0805\n"
)

NO_DESIGNATORS = b"Item,Name,Price\n1,Paper,3.20\n2,Pencils,1.10\n3,Glue,2.00\n"

PLACEMENT = (
    b"Designator,X,Y,Rotation,Side\n"
    b"R1,1.0,2.0,0,Top\n"
    b"R2,2.0,2.0,0,Bottom\n"
    b"R3,3.0,2.0,90,Top\n"
    b"R4,4.0,2.0,90,Top\n"
    b"R5,5.0,2.0,90,Top\n"
    b"C1,6.0,2.0,0,Bottom\n"
    b"C10,7.0,2.0,0,Bottom\n"
    b"Z9,8.0,2.0,0,Top\n"
)


def table(lines: int, header: str = "Designator,Qty,MPN,Manufacturer,Value,Package") -> bytes:
    """A comma-separated BOM of that many lines, two resistors each."""
    rows = [f'"R{2 * i + 1},R{2 * i + 2}",2,GR-{i:05},Kelvarn,{i} k,0402' for i in range(lines)]
    return "\n".join([header, *rows, ""]).encode()
