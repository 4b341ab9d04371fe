"""Those who work on other computers: a Dask cluster."""

from pathlib import Path


class Cluster:
    """To be."""

    def __init__(self, address: str, content: Path) -> None:
        """Nothing."""
        raise NotImplementedError
