"""The Jinja environment of pages and printed pieces: strict, escaping, and noting each template that it uses."""

from collections.abc import MutableMapping, Sequence
from pathlib import Path
from typing import Any

import jinja2

from passport.render.assets import note


class Environment(jinja2.Environment):
    """Templates from some folders, searched in turn; each counts as used every time it is rendered."""

    def __init__(self, folders: Sequence[Path]) -> None:
        """Read nothing yet; a template is parsed at its first use."""
        super().__init__(
            loader=jinja2.FileSystemLoader(folders),
            autoescape=True,
            undefined=jinja2.StrictUndefined,
            auto_reload=False,
            trim_blocks=True,
            lstrip_blocks=True,
            extensions=["jinja2.ext.i18n"],
        )

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
