"""Sentences for the technician: English as it stands, any other language by a voice."""

import ast
import re
from datetime import date

from places import ROOT

from passport.records.language.worded import numbered, speak, speaking, spoken, worded


class _Loud:
    """A voice that shouts."""

    language = "xx"

    def said(self, text: str, values: dict[str, object]) -> str:
        return text.upper() + repr(values)

    def counted(self, count: float, one: str, many: str, values: dict[str, object]) -> str:
        return f"{count}:{one}:{many}"


def test_without_a_voice_a_sentence_is_english():
    """Values are filled in as `str.format` does, days in their ISO form; a sentence without values stays as it is."""
    assert worded("{a} of {b:.1f} on {c}", a="x", b=2, c=date(2026, 12, 1)) == "x of 2.0 on 2026-12-01"
    assert worded("keep {this} %") == "keep {this} %"
    assert numbered(1, "{count} job", "{count} jobs") == "1 job"
    assert numbered(0, "{count} job of {n}", "{count} jobs of {n}", n=3) == "0 jobs of 3"
    assert spoken() == "en"


def test_a_voice_speaks_until_its_block_ends():
    """A voice says everything inside its block, also one that is only found when something is said."""
    asked = []

    def found():
        asked.append(1)
        return _Loud()

    with speaking(found):
        assert not asked
        assert worded("a {b}", b=1) == "A {B}{'b': 1}"
        assert (spoken(), numbered(2, "one", "many")) == ("xx", "2:one:many")
        speak(None)
        assert worded("a") == "a"
    assert worded("a") == "a"


def _calls(tree: ast.AST, *names: str):
    return (
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in names
    )


def test_no_sentence_is_put_into_words_before_the_language_is_known():
    """What a module holds from its import on is marked by `unsaid`, and no template is an f-string, which nobody finds."""
    wrong = []
    for path in (ROOT / "passport").rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        inside = {
            id(node)
            for function in ast.walk(tree)
            if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
            for part in (function.body if isinstance(function.body, list) else [function.body])
            for node in ast.walk(part)
        }
        for call in _calls(tree, "worded", "numbered", "unsaid"):
            early = call.func.id != "unsaid" and id(call) not in inside
            texts = call.args[1:] if call.func.id == "numbered" else call.args[:1]
            if early or any(isinstance(text, ast.JoinedStr | ast.BinOp) for text in texts):
                wrong.append(f"{path.name}:{call.lineno}")
    assert wrong == []


SAYS = {
    *("Refused", "Misused", "Faulty", "Fault", "Unclear", "CannotEdit", "refuse", "fail", "Unusable", "Trouble"),
    *(
        "echo",
        "secho",
        "UsageError",
        "ClickException",
        "BadParameter",
        "ask",
        "confirmed",
        "choose",
        "warn",
        "patience",
    ),
}
"""Calls whose texts a person reads."""
PUT = {"worded", "numbered", "unsaid", "counted"}
LEFT = {"acts/takeover/reviewfile.py": 10}
"""Modules of which so many calls still say what is not put into words; none may get more, and fewer are noted here."""


def _sentence(text: str) -> bool:
    return (
        re.search(r"[^\W\d_]{2,}[.,:;]? +[^\W\d_]{2,}", re.sub(r"'?passport [\w-]+.*|--[\w-]+", "", text)) is not None
    )


def _bare(node: ast.AST) -> bool:
    """Whether an argument says a sentence that does not go through `worded`."""
    if isinstance(node, ast.Call):
        name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
        return name not in PUT and any(
            map(_bare, [*node.args, *(one.value for one in node.keywords if one.arg != "help")])
        )
    if isinstance(node, ast.JoinedStr):
        return _sentence("".join(str(part.value) for part in node.values if isinstance(part, ast.Constant))) or any(
            _bare(part.value) for part in node.values if isinstance(part, ast.FormattedValue)
        )
    if isinstance(node, ast.Constant):
        return isinstance(node.value, str) and _sentence(node.value)
    return any(map(_bare, ast.iter_child_nodes(node)))


def _calls_left(path) -> int:
    found = 0
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            found += name in SAYS and any(map(_bare, [*node.args, *(one.value for one in node.keywords)]))
    return found


def test_whatever_is_said_to_the_technician_is_put_into_words():
    """No message, question, refusal or fault of the command line, the acts and the records is a bare text."""
    package = ROOT / "passport"
    paths = [
        path for layer in ("cli", "acts", "records", "publish", "workshop") for path in (package / layer).rglob("*.py")
    ]
    left = {path.relative_to(package).as_posix(): _calls_left(path) for path in paths}
    assert {name: count for name, count in left.items() if count} == LEFT


def test_a_bare_text_is_found(tmp_path):
    """A literal, an f-string and a text in a list are each found; what goes through `worded` is not."""
    path = tmp_path / "one.py"
    path.write_text(
        'click.echo("Nothing was written.")\nraise Refused(f"No frame {name} here")\n'
        'echo("\\n".join(["two words", x]))\nFault(place, "a-rule", worded("It is so"), do)\necho(f"{a}: {b}")\n'
        'echo(worded("Card: {card}", card=card))\n',
        encoding="utf-8",
    )
    assert _calls_left(path) == 3
