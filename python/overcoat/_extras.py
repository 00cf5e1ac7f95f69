"""What only some calls need, and how to get it where it is not installed."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def needs(extra: str, what: str) -> Iterator[None]:
    """Around the import of an optional package: rejects an absent one with the command that brings it.

    Examples
    --------
    >>> with needs("plots", "a picture"):
    ...     import no_such_package
    Traceback (most recent call last):
    ImportError: a picture needs no_such_package: pip install "overcoat[plots]"
    """
    try:
        yield
    except ModuleNotFoundError as error:
        raise ImportError(f'{what} needs {error.name}: pip install "overcoat[{extra}]"') from error
