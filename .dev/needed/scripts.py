"""Which programs a shell script starts, read from its source by bash's grammar: nothing is run."""

import subprocess
from collections.abc import Iterator
from pathlib import Path

import tree_sitter_bash
from tree_sitter import Language, Node, Parser

from needed.starts import OURS, Start

_PASSING = {"env", "sudo", "exec", "command", "nice", "timeout", "xargs"}
"""Programs and words of the shell that start what is named after them."""
_EVERYTHING = '"$@"'


def starts(root: Path, paths: list[Path]) -> list[Start]:
    """Every program that some shell scripts start. Raises OSError."""
    parser = Parser(Language(tree_sitter_bash.language()))
    words = _words_of_the_shell()
    return [start for path in paths for start in _in(path, path.relative_to(root).as_posix(), parser, words)]


def is_shell_script(path: Path) -> bool:
    """Whether a file says in its first line that bash or sh runs it."""
    with path.open("rb") as file:
        line = file.readline()
    return line.startswith(b"#!") and line.split()[-1].rpartition(b"/")[2] in (b"bash", b"sh")


def _words_of_the_shell() -> set[str]:
    said = subprocess.run(["bash", "-c", "compgen -b; compgen -k"], check=True, capture_output=True, text=True).stdout
    return set(said.split())


def _in(path: Path, file: str, parser: Parser, words: set[str]) -> Iterator[Start]:
    nodes = list(_all(parser.parse(path.read_bytes()).root_node))
    functions = {_text(node.child_by_field_name("name")): node for node in nodes if node.type == "function_definition"}
    passing = _PASSING | {name for name, node in functions.items() if _passes(node)}
    values = {
        _text(n.child_by_field_name("name")): _text(n.child_by_field_name("value"))
        for n in nodes
        if n.type == "variable_assignment"
    }
    for node in (node for node in nodes if node.type == "command"):
        for program in _programs(node, passing):
            if program not in words and program not in functions:
                bare = program.strip("\"'{}$")
                yield Start(
                    file, node.start_point.row + 1, _plain(values.get(bare, program) if "$" in program else program)
                )


def _programs(command: Node, passing: set[str]) -> Iterator[str]:
    """The program of a command, and that which it starts in turn."""
    said = [_text(command.child_by_field_name("name")), *map(_text, command.children_by_field_name("argument"))]
    for word in said:
        if word.startswith("-") or "=" in word:
            continue
        yield word
        if word not in passing:
            return


def _plain(program: str) -> str | None:
    """A program by its name; OURS for one below a folder, or all that a function was given; None where it is not told."""
    if program == _EVERYTHING or "/" in program.removeprefix("/"):
        return OURS
    return None if "$" in program else program.strip("'\"")


def _passes(function: Node) -> bool:
    """Whether a function starts what it is given, as it is."""
    commands = (node for node in _all(function) if node.type == "command")
    return any(_text(node.child_by_field_name("name")) == _EVERYTHING for node in commands)


def _all(node: Node) -> Iterator[Node]:
    yield node
    for child in node.children:
        yield from _all(child)


def _text(node: Node | None) -> str:
    return (node.text or b"").decode() if node else ""
