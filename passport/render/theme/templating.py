"""The Jinja environment of pages and printed pieces: strict, escaping, and noting each template that it uses.

`environment` is the way to one. Shipped templates, and those of a shop that this computer's owner trusts, have the
`Environment` here, whose calls are compiled to plain calls. That passes by the look that Jinja's sandbox takes at each
call, so any other shop's templates have `passport.render.theme.sandbox.Sandbox`, and so have the shipped ones beside
them, which they may extend and import.
"""

from collections.abc import Callable, MutableMapping, Sequence
from contextvars import ContextVar
from keyword import iskeyword
from pathlib import Path
from typing import Any

import jinja2
from jinja2 import nodes
from jinja2.compiler import CodeGenerator, Frame
from markupsafe import Markup

from passport.records.disk.opening import NotRead
from passport.render.faces.direction import apart, isolated
from passport.render.theme import assets
from passport.render.theme.assets import note
from passport.render.theme.compiled import CompiledTemplates
from passport.render.theme.words import Words, attributes, direction

_WORDS: ContextVar[Words] = ContextVar("words")
"""Those of what is being rendered: one set of parsed templates serves all languages."""


def speak(words: Words) -> None:
    """Render with these words from now on."""
    _WORDS.set(words)


def _functions(whose: Callable[[], Words]) -> dict[str, Callable[..., Markup]]:
    """What templates call for words, in the language of the reader for whom they render.

    What Jinja's own extension installs does the same in three calls for each of a page's hundred texts.
    """

    def gettext(text: str, **filled: Any) -> Markup:
        words = whose()
        if filled:
            return _filled(words.gettext(text), filled, words)
        said: Markup | None = words.written.get(text)
        if said is None:
            said = words.written[text] = _filled(words.gettext(text), filled, words)
        return said

    def ngettext(one: str, many: str, num: float, **filled: Any) -> Markup:
        words = whose()
        return _filled(words.ngettext(one, many, num), {"num": num, **filled}, words)

    def caution(text: str) -> Markup:
        """A caution; one that the reader's words lack says which language it is in."""
        said, language = whose().caution(text)
        marks = attributes(language, whose().language)
        return Markup("<span{}>{}</span>").format(marks, Markup(said)) if marks else Markup(said)

    return {"_": gettext, "gettext": gettext, "ngettext": ngettext, "caution": caution}


def _filled(text: str, values: dict[str, Any], words: Words) -> Markup:
    """Words with what is filled in, which is escaped; the words themselves come from the templates and catalogues."""
    if "%" not in text:
        return Markup(text)
    kept = apart if direction(words.language) == "rtl" else isolated
    return Markup(text) % {name: kept(value) for name, value in values.items()}


class _Direct(CodeGenerator):
    """Compiles calls to calls.

    Jinja sends each through its context, which looks for functions that want to be given the context: none that a page
    or a piece can reach does, and a macro called without one escapes as the environment says.
    """

    def visit_Call(self, node: nodes.Call, frame: Frame, forward_caller: bool = False) -> None:
        """Write a call; one with arguments that Python's grammar has no plain form for as Jinja does."""
        named = [keyword.key for keyword in node.kwargs]
        if node.dyn_args or node.dyn_kwargs or forward_caller or any(map(iskeyword, named)):
            super().visit_Call(node, frame, forward_caller=forward_caller)
            return
        self.visit(node.node, frame)
        self.write("(")
        for argument in (*node.args, *node.kwargs):
            self.visit(argument, frame)
            self.write(", ")
        self.write(")")


_COMPILED = CompiledTemplates(__file__)


class TemplateLoader(jinja2.BaseLoader):
    """Reads templates from some folders, searched in turn, by the one reader of files."""

    def __init__(self, folders: Sequence[Path]) -> None:
        """Read nothing yet."""
        self._folders = folders

    def get_source(self, environment: jinja2.Environment, template: str) -> tuple[str, str, Callable[[], bool]]:
        """The text of a template and where it stands. Raises TemplateNotFound, also for one that may not be read."""
        parts = template.split("/")
        if not all(parts) or any(part in (".", "..") or "\\" in part or ":" in part for part in parts):
            raise jinja2.TemplateNotFound(template)
        for folder in self._folders:
            path = folder.joinpath(*parts)
            try:
                return assets.text(path), str(path), lambda: True
            except (FileNotFoundError, NotADirectoryError):
                continue
            except (NotRead, UnicodeDecodeError) as error:
                raise jinja2.TemplateNotFound(template, f"{path}: {error}") from None
        raise jinja2.TemplateNotFound(template)


def environment(folders: Sequence[Path]) -> "Environment":
    """Templates from some folders; in a sandbox where the shop has its own that were not trusted on this computer."""
    own = assets.own()
    if not own.templates or own.trusted:
        return Environment(folders)
    from passport.render.theme.sandbox import Sandbox  # it builds on this module, and few need it

    return Sandbox(folders)


class Environment(jinja2.Environment):
    """Templates from some folders, searched in turn; each counts as used every time it is rendered."""

    code_generator_class: type[CodeGenerator] = _Direct

    def __init__(self, folders: Sequence[Path]) -> None:
        """Read nothing yet; a template is parsed at its first use."""
        super().__init__(
            loader=TemplateLoader(folders),
            autoescape=True,
            undefined=jinja2.StrictUndefined,
            finalize=isolated,
            auto_reload=False,
            trim_blocks=True,
            lstrip_blocks=True,
            bytecode_cache=_COMPILED if self.code_generator_class is _Direct else None,
            extensions=["jinja2.ext.i18n"],
        )
        self.globals |= _functions(_WORDS.get)

    def always_speak(self, words: Words) -> None:
        """Render everything with these words, whatever language is set elsewhere."""
        self.globals |= _functions(lambda: words)

    def compile_all(self, *names: str) -> None:
        """Have templates parsed before they are first used."""
        for name in names:
            super().get_template(name)

    def get_template(
        self,
        name: str | jinja2.Template,
        parent: str | None = None,
        globals: MutableMapping[str, Any] | None = None,
    ) -> jinja2.Template:
        """A template by its path below the folders; also what the templates themselves extend and include go by."""
        if isinstance(name, str):
            note(name)
        return super().get_template(name, parent, globals)

    def select_template(
        self,
        names: Any,
        parent: str | None = None,
        globals: MutableMapping[str, Any] | None = None,
    ) -> jinja2.Template:
        """The first template of several that exists; all of them count, since one that is added takes its place."""
        tried = list(names)
        for name in tried:
            if isinstance(name, str):
                note(name)
        return super().select_template(tried, parent, globals)
