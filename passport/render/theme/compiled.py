"""Shipped templates as Python's bytecode, kept between runs: compiling them is a quarter of logging one job.

They stand where Python keeps the bytecode of these modules, and may be trusted as far as that: it is code that runs. For
that reason none of a shop's own templates is among them, and a sandbox makes no use of them.
"""

import hashlib
import pickle
import sys
from contextlib import suppress
from functools import cached_property
from importlib.util import cache_from_source
from pathlib import Path

import jinja2
from jinja2.bccache import Bucket

from passport.records.disk import opening
from passport.records.transaction import atomic
from passport.render.theme.assets import templates


class CompiledTemplates(jinja2.BytecodeCache):
    """The bytecode of templates, by their names, their texts and what compiled them."""

    def __init__(self, compiler: str) -> None:
        """``compiler`` is the module that says how a template is compiled."""
        self._compiler = compiler

    @cached_property
    def _by(self) -> bytes:
        return b"%s %s" % (jinja2.__version__.encode(), opening.read(self._compiler))

    def get_cache_key(self, name: str, filename: str | None = None) -> str:
        """The name of a file for a shipped template, nothing for any other."""
        if filename is None or not Path(filename).is_relative_to(templates()):
            return ""
        return hashlib.blake2b(b"%s %s" % (filename.encode(), self._by), digest_size=12).hexdigest()

    def load_bytecode(self, bucket: Bucket) -> None:
        """Take up what is kept, where it was made of the same text; nothing where it cannot be read."""
        if bucket.key:
            with suppress(OSError, EOFError, pickle.UnpicklingError):
                bucket.bytecode_from_string(opening.read(self._path(bucket)))

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what was compiled, where this program's folder may be written to."""
        if bucket.key and not sys.dont_write_bytecode:
            with suppress(OSError):
                path = self._path(bucket)
                path.parent.mkdir(exist_ok=True)
                atomic.write(path, bucket.bytecode_to_string())

    def _path(self, bucket: Bucket) -> Path:
        return Path(cache_from_source(self._compiler)).with_name(f"template-{bucket.key}.bin")
