"""Who may come in: a token lets one browser in once, and that browser then carries a pass."""

from __future__ import annotations

import hmac
import secrets

_LETTERS = "23456789abcdefghjkmnpqrstuvwxyz"
"""Letters and digits that are not taken for one another when they are read off a screen and typed."""

TOKEN_LETTERS = 10
"""Letters of a token: 31 to the power of 10 is about 2 to the power of 50, too many to be guessed over a network."""


class Door:
    """Lets browsers in, one by one, as long as the program runs. Nothing of it is kept on disk."""

    def __init__(self) -> None:
        self._passes: set[str] = set()
        self._token = _new_token()

    @property
    def token(self) -> str:
        """What the next browser must bring, as a person reads it: two groups of letters."""
        half = TOKEN_LETTERS // 2
        return f"{self._token[:half]}-{self._token[half:]}"

    def admit(self, said: str) -> str | None:
        """Take a token.

        Args:
            said: as it was typed; blanks, hyphens and capitals do not matter.

        Returns:
            The pass of the browser that brought it, None if it is not the token. A token that was good is good no
            more, and :attr:`token` is a new one.
        """
        if not _same("".join(said.replace("-", " ").split()).casefold(), self._token):
            return None
        self._token = _new_token()
        carried = secrets.token_urlsafe(32)
        self._passes.add(carried)
        return carried

    def knows(self, carried: str) -> bool:
        """Whether this is the pass of a browser that was let in."""
        return sum(_same(carried, each) for each in self._passes) > 0


def _new_token() -> str:
    return "".join(secrets.choice(_LETTERS) for _ in range(TOKEN_LETTERS))


def _same(said: str, meant: str) -> bool:
    """Compared in the same time whatever they are, so that nothing can be learnt from how long it took."""
    return hmac.compare_digest(said.encode("utf-8", "replace"), meant.encode())
