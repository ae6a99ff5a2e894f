import pytest

from webapp.errors import UnreadableFileError
from webapp.intake.decode import ENCODINGS, decode

# Sentences as BOMs print them, made for this test; many have one or two characters beyond ASCII only.
SENTENCES = [
    ("cp1252", "C1;10µF;±10%"),
    ("cp1252", "10 µF"),
    ("cp1252", "10µF±10%"),
    ("cp1252", "C5,C6,2.2µF 6.3V,0402"),
    ("cp1252", "NTC 10k ±1%"),
    ("cp1252", "rated to 85°C"),
    ("cp1252", "Kestrel® relay"),
    ("cp1252", "pad of 3 mm²"),
    ("cp1252", "header – 2×5"),
    ("cp1252", "Ø3 mm hole"),
    ("cp1252", "Stück;Bestückung;Größe"),
    ("cp1252", "Straße"),
    ("cp1252", "Widerstände 1%"),
    ("cp1252", "Résistance;Quantité;Référence"),
    ("cp1252", "Descripción;Batería"),
    ("cp1252", "Quantità"),
    ("cp1252", "Motståndsnät på kort"),
    ("cp1251", "Поз.;Наименование;Кол.;Примечание"),
    ("cp1251", "Конденсатор 10 мкФ ±10%"),
    ("cp1251", "R1;Резистор 10 кОм"),
    ("cp1251", "Плата печатная"),
    ("cp1251", "Кол-во"),
    ("cp1251", "ВСЕГО"),
    ("koi8-r", "Поз.;Наименование;Кол.;Примечание"),
    ("koi8-r", "Катушка индуктивности"),
    ("koi8-r", "ПЛАТА УПРАВЛЕНИЯ"),
    ("cp866", "Поз.;Наименование;Кол.;Примечание"),
    ("cp866", "Катушка индуктивности"),
    ("gb18030", "位号,数量,型号,封装"),
    ("gb18030", "贴片电容 10uF"),
    ("gb18030", "电阻"),
    ("gb18030", "不焊"),
    ("gb18030", "10kΩ ±1% 电阻"),
    ("gb18030", "供应商：深圳某某电子"),
    ("big5", "位號,數量,型號,封裝"),
    ("big5", "電容 10uF"),
    ("big5", "連接器"),
    ("cp932", "部品番号,数量,メーカー,型番"),
    ("cp932", "チップ抵抗 10kΩ"),
    ("cp932", "未実装"),
    ("cp932", "コネクタ"),
    ("cp932", "ｺﾝﾃﾞﾝｻ"),
    ("cp949", "부품번호,수량,제조사"),
    ("cp949", "칩 저항 10k"),
    ("cp949", "커넥터 2핀"),
    ("cp1250", "Ilość;Nazwa części;Wartość"),
    ("cp1250", "Kondensator ceramiczny, płytka główna"),
    ("cp1250", "Součástka;Množství;Označení"),
    ("mac-roman", "Résistance;Quantité"),
    ("mac-roman", "Stück;Größe"),
    ("cp850", "Stück;Bestückung;Größe"),
]


@pytest.mark.parametrize(("codec", "sentence"), SENTENCES)
def test_the_likeliest_reading_is_the_text_meant(codec: str, sentence: str) -> None:
    decoded = decode(f"Ref;Text\nR1;{sentence}\n".encode(codec))
    assert decoded.text == f"Ref;Text\nR1;{sentence}\n"
    assert decoded.encoding == codec


def test_plain_ascii_and_utf8_are_utf8() -> None:
    assert decode(b"Ref,Qty\n").encoding == "utf-8"
    decoded = decode("Größe,电阻\n".encode())
    assert (decoded.text, decoded.encoding, decoded.notes) == ("Größe,电阻\n", "utf-8", ())


def test_utf8_mark_is_dropped_and_noted() -> None:
    decoded = decode("Größe\n".encode("utf-8-sig"))
    assert (decoded.text, decoded.encoding) == ("Größe\n", "utf-8")
    assert [note.code for note in decoded.notes] == ["byte_order_mark"]


@pytest.mark.parametrize("codec", ["utf-16-le", "utf-16-be", "utf-32-le", "utf-32-be"])
@pytest.mark.parametrize("text", ["Ref,Qty\r\nR1,2\r\n", "位号,数量,型号\nR1,1,电阻\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_wide_encodings_with_and_without_mark(codec: str, text: str, mark: str) -> None:
    decoded = decode((mark + text).encode(codec))
    assert (decoded.text, decoded.encoding) == (text, codec)


def test_one_line_in_another_encoding() -> None:
    content = "Título: batería de 9 V, versión 2\n".encode("cp1252") + "R1;Batería;Tensión 5 V\nC1;10 µF\n".encode()
    decoded = decode(content)
    assert decoded.encoding == "mixed: cp1252, utf-8"
    assert decoded.text == "Título: batería de 9 V, versión 2\nR1;Batería;Tensión 5 V\nC1;10 µF\n"
    (note,) = decoded.notes
    assert (note.code, "line 1" in note.message) == ("mixed_encoding", True)


def test_a_mixture_can_be_chosen_as_reported() -> None:
    content = "é\n".encode("cp1252") + "µ\n".encode()
    assert decode(content, "mixed: cp1252, utf-8").text == "é\nµ\n"


def test_chinese_lines_that_happen_to_be_utf8_are_no_mixture() -> None:
    # GB 18030 bytes of this word also form valid UTF-8.
    word = "目"
    assert word.encode("gb18030").decode("utf-8") != word
    content = f"{word}\n数量,型号\n电容,{word}\n".encode("gb18030")
    assert decode(content).text == f"{word}\n数量,型号\n电容,{word}\n"


def test_a_chosen_encoding_always_wins() -> None:
    content = "Größe".encode("cp1252")
    assert decode(content, "cp1251").text == content.decode("cp1251")
    assert decode("Größe".encode(), "latin-1").encoding == "latin-1"


def test_what_the_chosen_encoding_cannot_read_is_marked_and_noted() -> None:
    decoded = decode(b"Ref\nGr\xf6\xdfe\n", "utf-8")
    assert "\ufffd" in decoded.text
    (note,) = decoded.notes
    assert (note.code, note.row) == ("replaced_characters", 2)


@pytest.mark.parametrize("name", ["klingon", "rot13", "hex", "", "utf\x00", "mixed: rot13, utf-8"])
def test_unknown_encodings_are_refused(name: str) -> None:
    with pytest.raises(UnreadableFileError) as refused:
        decode(b"x", name)
    assert (refused.value.code, refused.value.field) == ("unknown_encoding", "encoding")


@pytest.mark.parametrize("name", ENCODINGS)
def test_every_encoding_offered_can_be_chosen(name: str) -> None:
    assert decode("Ref".encode(name), name).text == "Ref"


def test_a_byte_that_says_nothing_is_taken_as_the_most_common_encoding_and_noted() -> None:
    decoded = decode(b"50V, 5\x82%, 100ppm\n")
    assert decoded.encoding == "cp1252"
    assert [note.code for note in decoded.notes] == ["encoding_unsure"]
