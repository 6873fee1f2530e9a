"""Which table holds which kind of record, and how a record becomes a row and a row a record."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache
from typing import Any, ClassVar, TypeVar

from defectlog.records.cells import day_text, moment_text
from defectlog.records.fields import FieldSpec, fields_of, text
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Remedy, Sand, Verdict

K = TypeVar("K")


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """The shop's own word for a defect. Kept only in the book."""

    sheet: ClassVar[str] = "words"
    key: ClassVar[tuple[str, ...]] = ("word",)

    word: str = text("the word, folded", required=True)
    defect: str = text("defect id", required=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What the shop has settled once. Kept only in the book."""

    sheet: ClassVar[str] = "settings"
    key: ClassVar[tuple[str, ...]] = ("name",)

    name: str = text("name of the setting", required=True)
    value: str = text("its value", required=True)


@dataclass(frozen=True, slots=True)
class Table:
    """One kind's table. `links` are fields kept as the id of another table's row: field → table."""

    name: str
    kind: type[Any]
    links: Mapping[str, str] = field(default_factory=dict)

    def __hash__(self) -> int:
        return hash(self.name)

    @property
    def specs(self) -> tuple[FieldSpec, ...]:
        kind: Any = self.kind
        return fields_of(kind)

    @property
    def key(self) -> tuple[str, ...]:
        names: tuple[str, ...] = self.kind.key
        return names

    def column(self, name: str) -> str:
        """The column that holds a field."""
        return f"{name}_id" if name in self.links else name

    def field_of(self, column: str) -> str:
        """The field that a column holds; columns that hold none come back as they are."""
        name = column.removesuffix("_id")
        return name if name in self.links else column


TABLES: tuple[Table, ...] = (
    Table("pattern", Pattern),
    Table("sand", Sand),
    Table("heat", Heat),
    Table("mould", Mould, {"sand": "sand", "heat": "heat"}),
    Table("finding", Finding, {"mould": "mould"}),
    Table("verdict", Verdict),
    Table("remedy", Remedy, {"from_mould": "mould"}),
    Table("word", Word),
    Table("setting", Setting),
)
BY_NAME: dict[str, Table] = {table.name: table for table in TABLES}
BY_KIND: dict[type[Any], Table] = {table.kind: table for table in TABLES}

# Columns that no one types: worked out from the others when a mould is written.
WORKED_OUT = {"mould": ("pattern_id", "castings_in_it", "cast_at", "counted")}


def table_of(kind: type[Any] | str) -> Table:
    """By record class or by table name."""
    return BY_NAME[kind] if isinstance(kind, str) else BY_KIND[kind]


def quoted(column: str) -> str:
    return f'"{column}"'


@cache
def select(table: Table, extra: str = "", join: str = "") -> str:
    """SELECT … FROM … for whole records: id first, then the fields in their order, links as the names they stand for.

    The table is `t`; `extra` columns come last; a condition and an order can be put behind it.
    """
    columns, joins = ["t.id"], []
    for spec in table.specs:
        target = table.links.get(spec.name)
        if target is None:
            columns.append(f"t.{quoted(spec.name)}")
        else:
            columns.append(f"l_{spec.name}.{quoted(BY_NAME[target].key[0])}")
            joins.append(f" LEFT JOIN {target} l_{spec.name} ON l_{spec.name}.id = t.{table.column(spec.name)}")
    columns += [extra] if extra else []
    return f"SELECT {', '.join(columns)} FROM {table.name} t{''.join(joins)} {join}"


@cache
def insert(table: Table) -> str:
    """INSERT … for id, every field's column, the worked-out columns and the act."""
    columns = [table.column(spec.name) for spec in table.specs]
    names = ["id", *columns, *WORKED_OUT.get(table.name, ()), "added_by"]
    marks = ", ".join("?" * len(names))
    return f"INSERT INTO {table.name} ({', '.join(map(quoted, names))}) VALUES ({marks})"


def stored_value(value: Any) -> Any:
    """A record's value as the book keeps it: ISO text for days and moments, 0 or 1 for yes and no."""
    if isinstance(value, datetime):
        return moment_text(value)
    if isinstance(value, date):
        return day_text(value)
    return int(value) if isinstance(value, bool) else value


def stored_values(table: Table, record: Any) -> list[Any]:
    """In the order of the fields; links still as names."""
    return [stored_value(getattr(record, spec.name)) for spec in table.specs]


CONVERTERS: dict[str, Callable[[Any], Any]] = {
    "moment": datetime.fromisoformat,
    "day": date.fromisoformat,
    "yes_no": bool,
    "number": float,
}


@cache
def converters(table: Table) -> tuple[tuple[str, Callable[[Any], Any] | None], ...]:
    return tuple((spec.name, CONVERTERS.get(spec.holds)) for spec in table.specs)


def record_from(table: Table, values: Sequence[Any]) -> Any:
    """The record of stored `values` in the order of the fields."""
    pairs = zip(converters(table), values, strict=True)
    return table.kind(**{name: value if to is None or value is None else to(value) for (name, to), value in pairs})
