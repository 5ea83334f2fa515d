"""Questions that are asked all day: Django builds their SQL once, and only the values change.

Building a query costs several times what the database takes to answer it. What comes back is made by Django's own code,
so it is the same as the queryset's own answer (tests/book/test_prepared.py holds both against each other).
"""

import inspect
import threading
from collections.abc import Callable, Iterable
from typing import Any, Generic, TypeVar, cast

from django.db import connections
from django.db.models import Expression, QuerySet
from django.db.models.sql.compiler import SQLCompiler

Row = TypeVar("Row", covariant=True)


class Blank(Expression):
    """Stands in a queryset where a value goes. Compare columns of whole numbers or text with it, nothing else."""

    def __init__(self, place: int) -> None:
        super().__init__()
        self.place = place

    def as_sql(self, compiler: SQLCompiler, connection: Any) -> tuple[str, list[Any]]:  # type: ignore[override]
        return "%s", [self]


class Prepared(Generic[Row]):
    """A queryset with blanks. `build` takes one blank for each value and may run before any database is there."""

    def __init__(self, build: Callable[..., QuerySet[Any, Row]]) -> None:
        self.build = build
        self._ours = threading.local()  # connections belong to one thread each

    def __call__(self, *given: int | str) -> list[Row]:
        """Every row for these values. One query."""
        ready = getattr(self._ours, "ready", None)
        if ready is None or ready.connection is not connections[ready.asked.db]:
            ready = self._ours.ready = _Ready(self.build)
        return ready.rows(given)

    def first(self, *given: int | str) -> Row | None:
        """The first row, or None. One query, which asks for all: say in the queryset how many."""
        return next(iter(self(*given)), None)


class _Ready:
    """A built query of one thread."""

    def __init__(self, build: Callable[..., QuerySet[Any, Any]]) -> None:
        self.asked = build(*(Blank(place) for place in range(len(inspect.signature(build).parameters))))
        self.connection = connections[self.asked.db]
        self._compiler: SQLCompiler = self.asked.query.get_compiler(connection=self.connection)
        self._sql, self._values = self._compiler.as_sql()
        # Django's row makers ask the query for its compiler, and the compiler for its SQL
        self.asked.query.get_compiler = self._built  # type: ignore[method-assign]

    def rows(self, given: tuple[int | str, ...]) -> list[Any]:
        filled = tuple(given[value.place] if isinstance(value, Blank) else value for value in self._values)
        self._compiler.as_sql = lambda *_, **__: (self._sql, filled)  # type: ignore[method-assign]
        return list(cast("Iterable[Any]", self.asked._iterable_class(self.asked)))

    def _built(self, *_: Any, **__: Any) -> SQLCompiler:
        return self._compiler
