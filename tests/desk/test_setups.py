from threading import Thread

import pytest

from tests.boms import HARBOUR
from tests.desk.conftest import OnPostgres
from webapp.desk import setups
from webapp.desk.setups import save_setup, setup_of, typed_setup
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.trade.masks import BoardFinish
from webapp.trade.setup import Board, DropClass, Environment


def save(database, person, product_id, board, environment, version):
    with database.command() as session:
        save_setup(session, person, product_id, board, environment, version=version)


def stored(database, product_id):
    with database.read() as session:
        return setup_of(session, product_id)


TYPED = {
    "length_mm": "160", "width_mm": "100,5", "layers": "6", "finish": "enig, osp", "t_min_c": "-40",
    "t_max_c": "140 °F", "board_heating_k": "8 K", "drop_class": "handheld", "years": "", "unknown": "x",
}  # fmt: skip


def test_what_is_typed_is_read():
    board, environment = typed_setup(TYPED)
    assert board == Board(length_mm=160.0, width_mm=100.5, layers=6, finish=BoardFinish.ENIG | BoardFinish.OSP)
    # 140 °F is 60 °C.
    assert (environment.t_min_c, environment.t_max_c, environment.board_heating_k) == (-40.0, pytest.approx(60.0), 8.0)
    assert (environment.drop_class, environment.years) == (DropClass.HANDHELD, None)
    assert typed_setup({}) == (Board(), Environment())


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"t_max_c": "300"}, "t_max_c"),
        ({"t_min_c": "50", "t_max_c": "40"}, "t_min_c"),
        ({"board_heating_k": "8 °C"}, "board_heating_k"),
        ({"layers": "2.5"}, "layers"),
        ({"length_mm": "long"}, "length_mm"),
        ({"length_mm": "1e9"}, "length_mm"),
        ({"length_mm": "nan"}, "length_mm"),
        ({"drop_class": "often"}, "drop_class"),
    ],
)
def test_what_makes_no_sense_names_the_field(typed, field):
    with pytest.raises(InvalidInputError) as caught:
        typed_setup(typed)
    assert caught.value.field == field


def test_kept_and_read_back(database, person, product):
    product_id = product(HARBOUR)
    assert stored(database, product_id) == setups.Setup(Board(), Environment(), 0)
    board, environment = typed_setup(TYPED)
    save(database, person, product_id, board, environment, 0)
    assert stored(database, product_id) == setups.Setup(board, environment, 1)


def test_somebody_elses_change_in_between_is_refused(database, person, product):
    product_id = product(HARBOUR)
    save(database, person, product_id, Board(layers=2), Environment(), 0)
    for seen in (0, 2):
        with pytest.raises(ConflictError):
            save(database, person, product_id, Board(layers=4), Environment(), seen)
    save(database, person, product_id, Board(layers=4), Environment(), 1)
    assert (stored(database, product_id).board.layers, stored(database, product_id).version) == (4, 2)


class TestAtOnce:
    def test_the_second_of_two_who_save_for_the_first_time_is_refused(self, database, person, product):
        product_id, ends = product(HARBOUR), []

        def second():
            try:
                save(database, person, product_id, Board(layers=4), Environment(), 0)
            except Exception as error:
                ends.append(type(error))

        thread = Thread(target=second)
        with database.command() as session:
            save_setup(session, person, product_id, Board(layers=2), Environment(), version=0)
            thread.start()
            thread.join(timeout=0.5)
        thread.join(timeout=30)
        assert ends == [ConflictError]
        assert stored(database, product_id).board.layers == 2


class TestAtOnceOnPostgres(OnPostgres, TestAtOnce):
    pass


def test_makes_the_products_cases_stale(database, person, routed, stale):
    one, two = routed(HARBOUR, "A"), routed(HARBOUR, "B", filename="b.csv")
    save(database, person, one, Board(layers=2), Environment(), stored(database, one).version)
    assert all(stale(one).values())
    assert not any(stale(two).values())


def test_a_product_that_is_none(database, person):
    with pytest.raises(NotFoundError):
        save(database, person, 99, Board(), Environment(), 0)


def test_the_unit_of_a_field_may_stand_behind_its_number():
    board, environment = typed_setup(
        {
            "humidity_pct": "60 %",
            "bias_v": "48 V",
            "years": "5 years",
            "cycles_per_day": "4/day",
            "copper_um": "1 oz",
            "cte_ppm_k": "14 ppm/K",
            "layers": "6 layers",
        }
    )
    assert (environment.humidity_pct, environment.bias_v, environment.years, environment.cycles_per_day) == (
        60,
        48,
        5,
        4,
    )
    # One ounce on a square foot is 34 µm, which the trade rounds to 35.
    assert (board.copper_um, board.cte_ppm_k, board.layers) == (35, 14, 6)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"laminate_tg_c": "20"}, "20 °C is outside 60 to 400 °C"),
        ({"laminate_tg_c": "warm"}, "“warm” is no temperature; write 245 or 245 °C, 473 °F.$"),
        ({"t_max_c": "warm"}, "“warm” is no temperature; write 60 or 60 °C, 140 °F.$"),
        ({"t_max_c": "20…40"}, "One temperature, not a range."),
        ({"bias_v": "48 A"}, "“48 A” is no number."),
    ],
)
def test_what_does_not_read_is_told_with_what_is_taken(typed, words):
    with pytest.raises(InvalidInputError, match=words):
        typed_setup(typed)
