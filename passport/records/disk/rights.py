"""The rights of what is made: those that the person's umask gives, never more.

A file that is put together under another name is private until it is whole, so its rights are set at its end.
"""

import os
import threading

_TURN = threading.Lock()


def of_new_file() -> int:
    """The rights that the system would give to a file made now."""
    return 0o666 & ~_umask()


def of_new_folder() -> int:
    """The rights that the system would give to a folder made now."""
    return 0o777 & ~_umask()


def _umask() -> int:
    """What is taken from the rights of all that this process makes.

    It can only be read by setting it; for that moment it is the strictest one, so that nothing made meanwhile by another
    thread is open to others.
    """
    with _TURN:
        mask = os.umask(0o077)
        os.umask(mask)
    return mask
