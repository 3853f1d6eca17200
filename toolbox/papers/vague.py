"""Words that say too little of what is listed, as customs offices refuse them."""

from __future__ import annotations

import re
from types import MappingProxyType

# Named by a government's guidance on general lists; a kit only where its pieces are not counted.
_KIT = "kit"
_VAGUE = MappingProxyType(
    {
        _KIT: re.compile(r"\bkits?\b"),
        "set of": re.compile(r"\bsets? of\b"),
        "box of": re.compile(r"\bbox(?:es)? of\b"),
        "various": re.compile(r"\bvarious\b"),
        "assorted": re.compile(r"\bassorted\b"),
    }
)


def vague_words(text: str, *, counted: bool = False) -> tuple[str, ...]:
    """The words in a text that are refused, each once; ``counted``: its pieces are counted."""
    bare = " ".join(text.casefold().split())
    return tuple(
        word
        for word, pattern in _VAGUE.items()
        if pattern.search(bare) and not (counted and word == _KIT)
    )
