"""Templates of a shop that were not trusted on this computer: they draw pages, do nothing else, and they end.

Jinja's immutable sandbox keeps them from Python's own attributes and from changing what they are given. It does not
keep them from going on for ever, nor from filling the memory, so what they may use is a list, and every step is
counted: each call, attribute, filter and turn of a loop; each text and list is measured when, or before, it is made.
"""

import re
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import date
from functools import wraps
from itertools import islice
from pathlib import Path
from types import ModuleType
from typing import Any

import jinja2
from jinja2 import nodes
from jinja2.compiler import CodeGenerator, Frame
from jinja2.exceptions import SecurityError
from jinja2.runtime import Context, markup_join, str_join
from jinja2.sandbox import ImmutableSandboxedEnvironment

from passport.render.theme.templating import Environment

MOST_STEPS = 2_000_000
"""Of one page or piece; a page of the demo takes some three thousand."""
MOST_SECONDS = 20.0
"""Of one page or piece, by the clock."""
MOST_TEXT = 4_000_000
"""Letters of any text that a template makes, its page among them."""
MOST_ITEMS = 100_000
"""Of any list that a template makes, those of the lists in it among them."""
_LARGEST = 10**15
_FILTERS = frozenset(
    [
        "abs",
        "capitalize",
        "count",
        "d",
        "default",
        "dictsort",
        "e",
        "escape",
        "first",
        "float",
        "forceescape",
        "format",
        "groupby",
        "int",
        "items",
        "join",
        "last",
        "length",
        "list",
        "lower",
        "map",
        "max",
        "min",
        "reject",
        "rejectattr",
        "replace",
        "reverse",
        "round",
        "safe",
        "select",
        "selectattr",
        "sort",
        "string",
        "sum",
        "title",
        "trim",
        "truncate",
        "unique",
        "upper",
        "urlencode",
        "wordcount",
    ]
)
_GLOBALS = frozenset({"range", "dict", "joiner", "namespace"})
_WORDS = ("_", "gettext", "ngettext", "caution")
_TEXT = frozenset(
    [
        "capitalize",
        "casefold",
        "count",
        "endswith",
        "find",
        "index",
        "isalnum",
        "isalpha",
        "isdecimal",
        "isdigit",
        "islower",
        "isnumeric",
        "isspace",
        "istitle",
        "isupper",
        "lower",
        "lstrip",
        "partition",
        "removeprefix",
        "removesuffix",
        "rfind",
        "rindex",
        "rpartition",
        "rsplit",
        "rstrip",
        "split",
        "splitlines",
        "startswith",
        "strip",
        "swapcase",
        "title",
        "unescape",
        "upper",
    ]
)
_LIST = frozenset({"count", "index", "get", "items", "keys", "values"})
_DAY = frozenset({"year", "month", "day", "isoformat", "weekday", "isoweekday", "toordinal"})
_OF_TYPE: tuple[tuple[Any, frozenset[str]], ...] = (
    (str, _TEXT),
    ((list, tuple, set, frozenset, Mapping), _LIST),
    (date, _DAY),
)
_WIDE = re.compile(r"%(?:\([^)]*\))?[#0 +-]*(?:\*|\d{3,}|\d*\.(?:\*|\d{3,}))")
"""A place in a text that is filled in with a width of a hundred and more, or with one that is given beside it."""


class Endless(SecurityError):
    """A template that takes more steps or time, or makes more, than a page does."""


@dataclass(slots=True)
class _Meter:
    """What one page or piece has taken until now."""

    steps: int = 0
    until: float = field(default_factory=lambda: time.monotonic() + MOST_SECONDS)
    looked: int = 0
    shown: int = 0
    """Letters that were shown; those of a macro count again where what it made is shown."""


_METER: ContextVar[_Meter | None] = ContextVar("meter", default=None)


def _step(count: int = 1) -> None:
    meter = _METER.get()
    if meter is None:
        _METER.set(meter := _Meter())
    meter.steps += count
    if meter.steps > MOST_STEPS:
        raise Endless(f"This template does not end: it takes more than {MOST_STEPS} steps.")
    if meter.steps - meter.looked >= 200:
        meter.looked = meter.steps
        if time.monotonic() > meter.until:
            raise Endless(f"This template does not end: it takes more than {MOST_SECONDS:g} s.")


def _show(letters: int) -> None:
    """Count letters before they are escaped and kept: a macro keeps all that it shows until its end."""
    _step()
    meter = _METER.get()
    assert meter is not None, "a step was counted just now"
    meter.shown += letters
    if meter.shown > 5 * MOST_TEXT:
        raise Endless(f"This template shows more than {5 * MOST_TEXT} letters.")


def _weight(value: Any, room: int = MOST_ITEMS) -> int:
    """How many things are in a value, those in them among them. Raises Endless."""
    if isinstance(value, str):
        if len(value) > MOST_TEXT:
            raise Endless(f"This template makes a text of more than {MOST_TEXT} letters.")
        return 1
    if not isinstance(value, (list, tuple, set, frozenset, dict)):
        return 1
    total = 1 + len(value)
    parts: Iterable[Any] = (*value.keys(), *value.values()) if isinstance(value, dict) else value
    for part in parts if total <= room else ():
        if isinstance(part, (list, tuple, set, frozenset, dict)):
            total += _weight(part, room - total)
        if total > room:
            break
    if total > room:
        raise Endless(f"This template makes a list of more than {MOST_ITEMS} things.")
    return total


def _made(value: Any) -> Any:
    """A value that a template made, where it is not too large."""
    if isinstance(value, (str, list, tuple, set, frozenset, dict)):
        _step(_weight(value) // 100)
    elif isinstance(value, int) and abs(value) > _LARGEST:
        raise Endless("This template makes a number that is larger than any on a page.")
    return value


def _texts(parts: Iterable[Any]) -> Iterator[str]:
    """The parts of a text that is put together, as long as they are not too long together."""
    room = MOST_TEXT
    for part in parts:
        text = part if isinstance(part, str) else str(_made(part))
        room -= len(text)
        if room < 0:
            raise Endless(f"This template makes a text of more than {MOST_TEXT} letters.")
        yield text


def _concat(parts: Iterable[str]) -> str:
    return "".join(_texts(parts))


def _narrow(text: object) -> None:
    if isinstance(text, str) and _WIDE.search(text):
        raise Endless("This template fills in a text with a width of a hundred or more.")


def _guarded(name: str, apply: Callable[..., Any]) -> Callable[..., Any]:
    """One of Jinja's filters that is a step, and whose result is measured; some are looked at before."""
    before = _BEFORE.get(name)
    first = 1 if hasattr(apply, "jinja_pass_arg") else 0

    @wraps(apply)
    def guarded(*args: Any, **kwargs: Any) -> Any:
        _step()
        front, value, rest = args[:first], args[first], args[first + 1 :]
        if before:
            value = before(value, *rest, **kwargs)
        return _made(apply(*front, value, *rest, **kwargs))

    return guarded


def _joining(values: Iterable[Any], d: str = "", attribute: object = None) -> list[Any]:
    if attribute is not None:
        raise SecurityError("In this sandbox 'join' takes no attribute: put a 'map' before it.")
    listed: list[Any] = _made(list(islice(values, MOST_ITEMS + 1)))
    _room(len(listed) * len(d), MOST_TEXT)
    for _ in _texts(listed):
        pass
    return listed


def _replacing(text: Any, old: Any, new: Any, count: object = None) -> Any:
    whole, sign = str(_made(text)), str(_made(old))
    _room(len(whole) + (whole.count(sign) if sign else len(whole) + 1) * len(str(_made(new))), MOST_TEXT)
    return text


def _rounding(value: Any, precision: int = 0, method: str = "common") -> Any:
    if not abs(precision) <= 15:
        raise Endless("This template rounds to more places than a number has.")
    return value


def _summing(values: Any, attribute: object = None, start: object = 0) -> Any:
    if not isinstance(start, int | float):
        raise SecurityError("In this sandbox 'sum' adds numbers alone.")
    return values


def _formatting(text: Any, *args: object, **kwargs: object) -> Any:
    _narrow(text)
    return text


_BEFORE: Mapping[str, Callable[..., Any]] = {
    "join": _joining,
    "replace": _replacing,
    "round": _rounding,
    "sum": _summing,
    "format": _formatting,
}


class _Counting(CodeGenerator):
    """Compiles loops, lists and joined texts so that they are counted; all else is the sandbox's."""

    def visit_For(self, node: nodes.For, frame: Frame) -> None:
        """Write a loop over what is counted."""
        node.iter = nodes.Call(nodes.EnvironmentAttribute("counted"), [node.iter], [], None, None)
        super().visit_For(node, frame)

    def visit_Concat(self, node: nodes.Concat, frame: Frame) -> None:
        """Write texts that are joined."""
        escapes = "context.eval_ctx.autoescape" if frame.eval_ctx.volatile else str(frame.eval_ctx.autoescape)
        self.write(f"environment.joined({escapes}, (")
        for part in node.nodes:
            self.visit(part, frame)
            self.write(", ")
        self.write("))")

    def visit_List(self, node: nodes.List, frame: Frame) -> None:
        """Write a list that is measured."""
        self.write("environment.made(")
        super().visit_List(node, frame)
        self.write(")")

    def visit_Tuple(self, node: nodes.Tuple, frame: Frame) -> None:
        """Write a tuple that is measured; not one that values are unpacked to."""
        if node.ctx != "load":
            super().visit_Tuple(node, frame)
            return
        self.write("environment.made(")
        super().visit_Tuple(node, frame)
        self.write(")")

    def visit_Dict(self, node: nodes.Dict, frame: Frame) -> None:
        """Write a mapping that is measured."""
        self.write("environment.made(")
        super().visit_Dict(node, frame)
        self.write(")")


class _Metered(jinja2.Template):
    """A template each of whose renderings is measured by itself."""

    def render(self, *args: Any, **kwargs: Any) -> str:
        """The page. Raises SecurityError, `Endless` among it, and whatever Jinja does."""
        _METER.set(_Meter())
        return super().render(*args, **kwargs)

    def make_module(
        self, vars: dict[str, Any] | None = None, shared: bool = False, locals: Mapping[str, Any] | None = None
    ) -> Any:
        """The template's macros; what they take counts from here."""
        _METER.set(_Meter())
        return super().make_module(vars, shared, locals)


class Sandbox(Environment, ImmutableSandboxedEnvironment):
    """Templates that may do nothing but draw pages and pieces."""

    code_generator_class = _Counting
    template_class = _Metered
    intercepted_binops = frozenset({"+", "*", "**", "%"})
    concat = staticmethod(_concat)
    made = staticmethod(_made)

    def __init__(self, folders: Sequence[Path]) -> None:
        """See `passport.render.theme.templating.Environment`."""
        super().__init__(folders)
        ours = {name: value for name, value in self.globals.items() if name in _WORDS}
        self.globals = {name: self.globals[name] for name in _GLOBALS} | ours
        self.filters = {name: _guarded(name, self.filters[name]) for name in _FILTERS}
        self.finalize = self._shown

    # --- what is counted ---------------------------------------------------------------------------------------

    def counted(self, values: Any) -> Iterator[Any]:
        """The values of a loop, each of which is a step."""
        for value in values:
            _step()
            yield value

    def joined(self, escapes: bool, parts: Sequence[Any]) -> str:
        """Texts joined as ``~`` does it."""
        _step()
        for _ in _texts("" if part is None else part for part in parts):
            pass
        return markup_join(parts) if escapes else str_join(parts)

    def _shown(self, value: Any) -> Any:
        _show(len(value) if isinstance(value, str) else 0)
        return _made(value)

    def get_template(self, name: Any, parent: str | None = None, globals: Any = None) -> jinja2.Template:
        """See `passport.render.theme.templating.Environment.get_template`; a step."""
        _step()
        return super().get_template(name, parent, globals)

    # --- what is allowed ---------------------------------------------------------------------------------------

    def is_safe_attribute(self, obj: Any, attr: str, value: Any) -> bool:
        """Whether a template may have an attribute: those of facts and formats, few of texts, lists and days."""
        _step()
        if not super().is_safe_attribute(obj, attr, value):
            return False
        if isinstance(obj, ModuleType):  # its own functions, not what it imports
            return callable(value) and getattr(value, "__module__", "") == obj.__name__ and not isinstance(value, type)
        if type(obj).__module__.partition(".")[0] in ("passport", "jinja2"):
            return True
        return any(isinstance(obj, kind) and attr in allowed for kind, allowed in _OF_TYPE)

    def wrap_str_format(self, value: Any) -> Any:
        """Keep ``str.format`` and ``format_map`` from templates: a width in them makes a text of ten gigabytes."""
        if super().wrap_str_format(value) is None:
            return None
        return self.unsafe_undefined(value.__self__, value.__name__)

    def is_safe_callable(self, obj: Any) -> bool:
        """Whether a template may call something: no type but those that it has for lists and the like."""
        return super().is_safe_callable(obj) and (not isinstance(obj, type) or obj in self._types())

    def _types(self) -> tuple[Any, ...]:
        return tuple(self.globals[name] for name in _GLOBALS)

    def call(self, context: Context, obj: Any, /, *args: Any, **kwargs: Any) -> Any:
        """Call something with what is small enough. Raises SecurityError."""
        _step()
        for value in (*args, *kwargs.values()):
            if isinstance(value, int | float) and not abs(value) < 1_000_000:
                raise Endless("This template calls something with a number that is larger than any on a page.")
        if any(obj is self.globals[name] for name in _WORDS):
            for value in args:
                _narrow(value)
        return _made(super().call(context, obj, *args, **kwargs))

    def call_binop(self, context: Context, operator: str, left: Any, right: Any) -> Any:
        """Work out an expression, where what comes of it cannot be large. Raises SecurityError."""
        _step()
        if operator == "%" and isinstance(left, str):
            _narrow(left)
        elif operator == "**":
            if abs(left) > 10_000 or not abs(right) <= 3:
                raise Endless("This template raises to a power that no page needs.")
        elif operator == "*":
            for one, other in ((left, right), (right, left)):
                if isinstance(one, str | list | tuple) and isinstance(other, int):
                    _room(len(one) * other, MOST_TEXT if isinstance(one, str) else MOST_ITEMS)
        elif isinstance(left, str | list | tuple) and isinstance(right, str | list | tuple):
            _room(len(left) + len(right), MOST_TEXT if isinstance(left, str) else MOST_ITEMS)
        return _made(super().call_binop(context, operator, left, right))

    def call_filter(self, *args: Any, **kwargs: Any) -> Any:
        """Apply a filter by its name, as other filters do it."""
        _step()
        return super().call_filter(*args, **kwargs)


def _room(size: int, most: int) -> None:
    if size > most:
        raise Endless(f"This template makes something of {size} letters or things.")
