"""Which column holds what: by its name first, by its content where the name allows several meanings or is missing."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from webapp.intake.content import (
    begins_footer,
    common_share,
    fitness,
    fitness_as_named,
    holds_values,
    letters_in,
    spread,
)
from webapp.intake.counting import count_right
from webapp.intake.designators import parse_designators
from webapp.intake.names import MAYBE, SURE, UNKNOWN, NameMeaning, fold, meaning_under
from webapp.intake.spilled import MoreRefdes, more_refdes
from webapp.intake.variants import FoundColumns, Variants, find_variants
from webapp.trade.bom import Column, Field

ACCEPT = 0.25
_MOST_ROWS = 1000
_ALL_DESIGNATORS = 0.8
_MOSTLY_COMMON = 0.5
_SAMPLES_SHOWN = 4
_MANY_PACKAGES = 0.5
_NUMBERS = 0.5
_MANY, _FEW = 8, 2  # cells of a column, different ones
_KINDS = 3
_BY_CONTENT = (Field.REFDES, Field.QTY, Field.PACKAGE, Field.VALUE)


@dataclass(frozen=True, slots=True)
class ColumnPlan:
    """The columns of one table and what each is used for (0-based positions)."""

    columns: tuple[Column, ...]
    meanings: tuple[NameMeaning, ...]
    both: bool  # the MPN column holds maker and number
    alternates: tuple[tuple[int | None, int | None], ...]  # (manufacturer, MPN) positions of second, third ... sources
    remarks: tuple[int, ...]  # columns of no field, where a row may say that it is not fitted
    fittings: tuple[int, ...] = ()  # columns that say whether a part is fitted
    more_refdes: tuple[MoreRefdes, ...] = ()
    variants: Variants | None = None

    def position(self, field: Field) -> int | None:
        """Position of the column read for ``field``."""
        return next((column.index for column in self.columns if column.field is field), None)

    def column_label(self, field: Field) -> str | None:
        """Label of the column read for ``field``."""
        return next((column.label for column in self.columns if column.field is field), None)


def letter(index: int) -> str:
    """Spreadsheet letter of a 0-based column: 0 -> A, 26 -> AA."""
    text = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        text = chr(65 + rest) + text
    return text


def labels(header: Sequence[str]) -> list[str]:
    """One label a column: its name; with its letter where the name is repeated; the letter where there is none."""
    names = [" ".join(name.split()) for name in header]
    counts = Counter(name for name in names if name)
    return [f"{name} [{letter(i)}]" if counts[name] > 1 else name or letter(i) for i, name in enumerate(names)]


def plan_columns(
    header: Sequence[str] | None,
    rows: Sequence[Sequence[str]],
    chosen: dict[Field, int] | None = None,
    groups: Sequence[str] = (),
    titles: Iterable[str] = (),
) -> ColumnPlan:
    """Take the table's columns for fields; ``chosen`` (by a person) replaces the guess, ``header`` None means none.

    ``groups`` are the names that stand over several columns of the header, one a column; ``titles`` the texts above it.
    """
    found = _found_columns(header, rows, groups)
    names, meanings = found.names, tuple(found.meanings)
    samples = [spread(cells) for cells in found.cells]
    width = len(names)
    fields = (
        {index: (field, 1.0) for field, index in chosen.items() if 0 <= index < width}
        if chosen is not None
        else _assign(meanings, samples, named=any(known.known for known in meanings))
    )
    refdes = next((i for i, (field, _) in fields.items() if field is Field.REFDES), None)
    listed = [parse_designators(cell).names for cell in found.cells[refdes]] if refdes is not None else []
    sizes = list(map(len, listed))
    variants = None
    if refdes is not None:
        if chosen is None:
            count_right(found, fields, sizes)
        variants = find_variants(found, {i: field for i, (field, _) in fields.items()}, sizes, titles)
        variants = _with_variant(variants, fields, chosen)
    more = more_refdes(found, samples, refdes, listed, set(fields)) if refdes is not None else ()
    columns = tuple(_column(i, label, names[i], fields.get(i), samples[i]) for i, label in enumerate(labels(names)))
    mpn = next((i for i, (field, _) in fields.items() if field is Field.MPN), None)
    apart = {*(one.position for one in more), *(variants.others if variants else ())}
    fittings = _fittings(meanings, samples, fields, variants, apart)
    return ColumnPlan(
        columns=columns,
        meanings=meanings,
        both=mpn is not None and meanings[mpn].both,
        alternates=_alternates(meanings, fields),
        remarks=tuple(
            i for i in range(width) if i not in fields and samples[i] and i not in apart and i not in fittings
        ),
        fittings=fittings,
        more_refdes=more,
        variants=variants,
    )


def _found_columns(header: Sequence[str] | None, rows: Sequence[Sequence[str]], groups: Sequence[str]) -> FoundColumns:
    """The columns of a table, of a long one by rows taken evenly over all its length."""
    # Headings, titles and footers are no cells of a column.
    rows = [row for row in rows if len(row) - row.count("") > 1] or rows
    rows = rows[:: max(1, len(rows) // _MOST_ROWS)]
    rows = [row for row in rows if sum(map(bool, map(str.strip, row))) > 1] or rows
    rows = [row for row in rows if not begins_footer(next(filter(None, row), ""))] or rows
    width = max((len(header or ()), *map(len, rows)), default=0)
    names = [*(header or ()), *[""] * width][:width]
    cells = [[row[i] if i < len(row) else "" for row in rows] for i in range(width)]
    over = [*groups, *[""] * width][:width]
    meanings = tuple(meaning_under(over[i], name.strip()) if header else UNKNOWN for i, name in enumerate(names))
    meanings = _without_sellers(names, meanings, [spread(column) for column in cells])
    return FoundColumns(names, meanings, over, cells)


def _with_variant(
    variants: Variants | None, fields: dict[int, tuple[Field, float]], chosen: dict[Field, int] | None
) -> Variants | None:
    """The variants with the one that is read as a column of its field; a person's choice of column decides."""
    if variants is None or variants.kind == "values":
        return variants
    if chosen is not None:
        return replace(variants, chosen=next((i for i in variants.positions if i in fields), None))
    counted = any(field is Field.QTY and i not in variants.positions for i, (field, _) in fields.items())
    for i in variants.positions:
        fields.pop(i, None)
    field = Field.QTY if variants.kind == "counts" and not counted else Field.DNP
    if variants.chosen is not None and all(taken is not field for taken, _ in fields.values()):
        fields[variants.chosen] = (field, MAYBE)
    return variants


def _fittings(
    meanings: Sequence[NameMeaning],
    samples: Sequence[Sequence[str]],
    fields: dict[int, tuple[Field, float]],
    variants: Variants | None,
    apart: set[int],
) -> tuple[int, ...]:
    """Columns that say whether a part is fitted: the one taken for it, others surely named so, the variant read."""
    named = {
        i
        for i, known in enumerate(meanings)
        if (i in fields and fields[i][0] is Field.DNP)
        or (i not in fields and samples[i] and known.weights.get(Field.DNP, 0.0) >= SURE)
    }
    read = {variants.chosen} if variants and variants.chosen is not None and variants.kind != "values" else set()
    return tuple(sorted((named | read) - apart))


def _without_sellers(
    names: Sequence[str], meanings: tuple[NameMeaning, ...], samples: Sequence[Sequence[str]]
) -> tuple[NameMeaning, ...]:
    """The meanings without those of a "vendor" that is a seller: a part number stands beside the vendor's own, or one
    or two names fill the whole column."""
    vendors = {i for i, name in enumerate(names) if "vendor" in fold(name).split()}
    numbers = {i for i, known in enumerate(meanings) if Field.MPN in known.weights and samples[i] and known.order == 1}
    beside = bool(vendors & numbers) and any(fitness(Field.MPN, samples[i]) > _NUMBERS for i in numbers - vendors)
    few = any(
        Field.MANUFACTURER in meanings[i].weights and len(samples[i]) >= _MANY and len(set(samples[i])) <= _FEW
        for i in vendors
    )
    if not (beside or few):
        return meanings
    seller = NameMeaning({}, known=True)
    return tuple(seller if i in vendors else known for i, known in enumerate(meanings))


def _column(index: int, label: str, header: str, found: tuple[Field, float] | None, sample: Sequence[str]) -> Column:
    field, confidence = found or (None, 0.0)
    return Column(index, label, header, field, confidence, _shown(sample))


def _shown(sample: Sequence[str]) -> tuple[str, ...]:
    distinct = dict.fromkeys(" ".join(cell.split())[:60] for cell in sample)
    return tuple(list(distinct)[:_SAMPLES_SHOWN])


def _assign(
    meanings: Sequence[NameMeaning], samples: Sequence[Sequence[str]], *, named: bool
) -> dict[int, tuple[Field, float]]:
    """Best fields first, each column and each field once; ties go to the column further left."""
    best = _likeliest_designators(meanings, samples)
    scores = [
        (_score(field, known, samples[i], named=named, is_refdes=i in best), -i, field)
        for i, known in enumerate(meanings)
        if known.order == 1
        for field in Field
    ]
    taken: dict[int, tuple[Field, float]] = {}
    used: set[Field] = set()
    for score, index, field in sorted(scores, key=lambda entry: (-entry[0], -entry[1])):
        if score < ACCEPT:
            break
        if -index not in taken and field not in used:
            taken[-index] = (field, round(min(score, 1.0), 2))
            used.add(field)
    return taken


def _likeliest_designators(meanings: Sequence[NameMeaning], samples: Sequence[Sequence[str]]) -> set[int]:
    """Columns that may be named so and hold designators: the likeliest, and others whose codes begin as those do."""
    scores = {
        i: known.weights[Field.REFDES] * fit * _likelihood(samples[i])
        for i, known in enumerate(meanings)
        if Field.REFDES in known.weights and (fit := fitness_as_named(samples[i])) > _ALL_DESIGNATORS
    }
    best = max(scores, key=lambda i: (scores[i], -i), default=None)
    if best is None or meanings[best].weights[Field.REFDES] >= SURE:
        return set() if best is None else {best}
    return {i for i in scores if i == best or common_share(letters_in(samples[i])) > _MOSTLY_COMMON}


def _score(field: Field, known: NameMeaning, sample: Sequence[str], *, named: bool, is_refdes: bool) -> float:
    """Name and content together: a sure name needs little of the content, a doubtful one all of it.

    ``is_refdes``: the column is likely to hold the designators, and nothing else.
    """
    weight = known.weights.get(field, 0.0)
    if weight == 0.0:
        return _score_by_content(field, known, sample, named=named)
    if not sample:
        return 0.3 * weight
    fit = fitness(field, sample) if field is not Field.REFDES else fitness_as_named(sample)
    if field is Field.REFDES and fit < 0.1:
        return 0.2 * weight
    if field is Field.REFDES and weight < SURE:
        return weight * fit * _variety(sample)
    if is_refdes and field is not Field.REFDES:
        fit *= 0.2  # "Part" over designators is no part number
    if weight >= SURE:
        return 0.7 + 0.3 * fit
    is_kind = field is Field.MPN and {Field.DESCRIPTION, Field.VALUE} <= known.weights.keys()
    if is_kind and fitness(Field.PACKAGE, sample) >= _MANY_PACKAGES:
        fit *= 0.2  # "Type" over packages is no part number
    return weight * fit


def _score_by_content(field: Field, known: NameMeaning, sample: Sequence[str], *, named: bool) -> float:
    """Without a name only designators and values speak for themselves; without any header a few others too."""
    if field is Field.REFDES:
        fit = fitness(field, sample)
        limit = 0.9 if named else 0.6
        return 0.4 * fit * _likelihood(sample) if fit >= limit and len(sample) >= 3 else 0.0
    if known.known or field not in _BY_CONTENT:
        return 0.0
    if named:
        return 0.3 if field is Field.VALUE and holds_values(sample) else 0.0
    fit = fitness(field, sample)
    weight = {Field.QTY: 0.38, Field.PACKAGE: 0.36, Field.VALUE: 0.3}[field]
    return weight * fit if fit >= 0.7 else 0.0


def _likelihood(sample: Sequence[str]) -> float:
    """Part numbers may look like designators, but seldom begin with the letters of these."""
    return _variety(sample) * (0.8 + 0.2 * common_share(letters_in(sample)))


def _variety(sample: Sequence[str]) -> float:
    """A little less for codes that all begin alike: of two columns the one with R, C and U holds the designators."""
    return 0.9 + 0.1 * min(1.0, len(letters_in(sample)) / _KINDS)


def _alternates(
    meanings: Sequence[NameMeaning], fields: dict[int, tuple[Field, float]]
) -> tuple[tuple[int | None, int | None], ...]:
    pairs: list[tuple[int | None, int | None]] = []
    maker: int | None = None
    for i, known in enumerate(meanings):
        if i in fields or known.order < 2:
            continue
        if Field.MANUFACTURER in known.weights:
            maker = i
        elif Field.MPN in known.weights:
            pairs.append((maker, i))
            maker = None
    if maker is not None and pairs and pairs[-1][0] is None:
        pairs[-1] = (maker, pairs[-1][1])
    return tuple(pairs)
