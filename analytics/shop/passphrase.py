"""The passphrase that others on the local network are asked for: kept as a salted hash only."""

from __future__ import annotations

import hashlib
import hmac
import secrets

from analytics.errors import QuestionError
from analytics.shop.base import OpenShop

SETTING = "passphrase"
SHORTEST = 10

# scrypt (RFC 7914) at about 32 MB and a tenth of a second a try: nothing to a person who knows
# the words, a wall to one who guesses.
COST = {"n": 2**15, "r": 8, "p": 1, "maxmem": 64 * 2**20}


class Sharing(OpenShop):
    """Who else may see this shop's dashboard."""

    def set_passphrase(self, passphrase: str) -> None:
        """Keep a new passphrase; whoever signed in with the old one is signed out.

        Raises QuestionError for one that is too short to hold.
        """
        if len(passphrase.strip()) < SHORTEST:
            raise QuestionError(
                f"a passphrase needs at least {SHORTEST} characters: four or five words that do "
                "not belong together are easy to type and hard to guess. Nothing was changed."
            )
        salt = secrets.token_hex(16)
        kept = {"salt": salt, "hash": _hashed(passphrase, salt), "secret": secrets.token_hex(32)}
        self.store.set_setting(SETTING, kept)

    def has_passphrase(self) -> bool:
        """True once a passphrase is set."""
        return self.store.setting(SETTING) is not None

    def passphrase_fits(self, passphrase: str) -> bool:
        """True for the passphrase that was set; takes as long for any other."""
        kept = self.store.setting(SETTING) or {"salt": "", "hash": ""}
        return hmac.compare_digest(_hashed(passphrase, kept["salt"]), kept["hash"])

    def sign_in_secret(self) -> str:
        """What sign-in cookies are signed with. Raises QuestionError with no passphrase set."""
        kept = self.store.setting(SETTING)
        if kept is None:
            raise QuestionError("no passphrase is set yet. Set one: laylog passphrase.")
        return str(kept["secret"])


def _hashed(passphrase: str, salt: str) -> str:
    return hashlib.scrypt(passphrase.strip().encode(), salt=salt.encode(), **COST).hex()
