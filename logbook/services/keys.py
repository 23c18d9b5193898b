"""Signing keys: the private part stays in its owner's configuration folder under a passphrase, never in the book.

A key file is JSON: the public key, and the private key sealed with ChaCha20-Poly1305 (RFC 8439) under a key drawn from
the passphrase by scrypt (RFC 7914). Fingerprints of keys one has checked with their owner, face to face or by telephone,
are pinned in a file beside it: the book cannot change them.
"""

from __future__ import annotations

import base64
import hashlib
import json
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from logbook.errors import DataRefused, FileTrouble

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

PREFIX: Final = "ed25519:"
LEAST_PASSPHRASE: Final = 8
_COST: Final = 2**16
"""Cost of a guess (scrypt N, with r 8 and p 1): 64 MiB of memory and some tenths of a second."""


class PublicKey(NamedTuple):
    """A public key: the text that stands in `people.public_key`, and its fingerprint (SHA-256, hexadecimal)."""

    text: str
    fingerprint: str


def config_folder() -> Path:
    """The folder of keys and pins, readable by its owner only: `LOGBOOK_CONFIG`, else the platform's."""
    named = os.environ.get("LOGBOOK_CONFIG")
    if named:
        folder = Path(named)
    else:
        from platformdirs import user_config_path

        folder = user_config_path("electric-aeroplane-logbook", appauthor=False)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise FileTrouble(
            f"The folder {folder} cannot be made: {error.strerror}.", next_step="Check its permissions."
        ) from error
    return folder


def new_key(passphrase: str) -> PublicKey:
    """Makes a key and writes its file.

    Raises:
        DataRefused: the passphrase is shorter than eight characters.
        FileTrouble: the file cannot be written.
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    if len(passphrase) < LEAST_PASSPHRASE:
        raise DataRefused(
            f"The passphrase is shorter than {LEAST_PASSPHRASE} characters.", next_step="Choose a longer one."
        )
    private = Ed25519PrivateKey.generate()
    public = _public_of(private)
    salt, nonce = os.urandom(16), os.urandom(12)
    sealed = _box(passphrase, salt, _COST).encrypt(nonce, private.private_bytes_raw(), public.text.encode())
    _write_new(
        _file_of(public.fingerprint),
        {
            "public_key": public.text,
            "scrypt_n": _COST,
            "salt": _text(salt),
            "nonce": _text(nonce),
            "sealed": _text(sealed),
        },
    )
    return public


def open_key(fingerprint: str, passphrase: str) -> Ed25519PrivateKey:
    """The private key with a fingerprint.

    Raises:
        DataRefused: it is not on this computer, the file is damaged, or the passphrase does not open it.
    """
    from cryptography.exceptions import InvalidTag
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    path = _file_of(fingerprint)
    if not path.exists():
        raise _no_key()
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
        cost = min(int(kept["scrypt_n"]), 2**20)  # a damaged file must not ask for all memory
        box = _box(passphrase, base64.b64decode(kept["salt"]), cost)
        raw = box.decrypt(
            base64.b64decode(kept["nonce"]),
            base64.b64decode(kept["sealed"]),
            str(kept["public_key"]).encode(),
        )
        return Ed25519PrivateKey.from_private_bytes(raw)
    except InvalidTag:
        raise DataRefused(
            "The passphrase does not open the key.",
            next_step="Try again; nobody can recover a forgotten one.",
        ) from None
    except (OSError, ValueError, KeyError, TypeError):
        raise DataRefused(
            f"The key file {path} cannot be read.", next_step="Put back a copy of it, or make a new key."
        ) from None


def _no_key() -> DataRefused:
    return DataRefused(
        "The private key is not on this computer.",
        next_step="Sign where it is, or make a new one with 'logbook key new NAME': earlier signatures stay good, "
        "a lost key cannot be recovered.",
    )


def own_fingerprint(public_keys: str | None) -> str:
    """The newest of a person's keys whose private part is on this computer.

    Raises:
        DataRefused: the person has no key, or none of them is here.
    """
    known = keys_in(public_keys)
    for key in reversed(known):
        if _file_of(key.fingerprint).exists():
            return key.fingerprint
    if not known:
        raise DataRefused(
            "This person has no signing key.",
            next_step="Make one with 'logbook key new NAME'.",
            field="person",
        )
    raise _no_key()


def keys_in(public_keys: str | None) -> list[PublicKey]:
    """The keys in a person's `public_key`, oldest first; what is no key is passed over."""
    found = []
    for text in (public_keys or "").split():
        raw = _raw(text)
        if raw is not None:
            found.append(PublicKey(text, hashlib.sha256(raw).hexdigest()))
    return found


def signature_fits(public_key: str, signature: str, message: bytes) -> bool:
    """Whether a signature (base64) over a message was made with the private part of a key."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    raw = _raw(public_key)
    try:
        if raw is None:
            return False
        Ed25519PublicKey.from_public_bytes(raw).verify(base64.b64decode(signature, validate=True), message)
    except (InvalidSignature, ValueError):
        return False
    return True


def pins() -> dict[str, str]:
    """Fingerprint to the name one has checked it for.

    Raises:
        DataRefused: the file of pins is damaged.
    """
    path = config_folder() / "pinned.json"
    try:
        kept = json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
    except (OSError, ValueError):
        kept = None
    if not isinstance(kept, dict) or not all(isinstance(name, str) for name in kept.values()):
        raise DataRefused(
            f"The file of pinned keys {path} cannot be read.", next_step="Correct or remove it."
        )
    return kept


def pin(fingerprint: str, name: str) -> None:
    """Remembers, outside the book, that a fingerprint was checked with its owner.

    Raises:
        DataRefused: it is not a fingerprint.
    """
    plain = fingerprint.replace(" ", "").lower()
    if len(plain) != 64 or not set(plain) <= set("0123456789abcdef"):
        raise DataRefused(
            "A fingerprint is 64 figures and letters a to f.",
            next_step="Copy the whole of it.",
            field="fingerprint",
        )
    path = config_folder() / "pinned.json"
    draft = path.with_suffix(".part")
    draft.unlink(missing_ok=True)
    _write_new(draft, pins() | {plain: name})
    draft.replace(path)


def grouped(fingerprint: str) -> str:
    """A fingerprint in groups of four, to be read aloud."""
    return " ".join(fingerprint[at : at + 4] for at in range(0, len(fingerprint), 4))


def _public_of(private: Ed25519PrivateKey) -> PublicKey:
    raw = private.public_key().public_bytes_raw()
    return PublicKey(PREFIX + _text(raw), hashlib.sha256(raw).hexdigest())


def _raw(text: str) -> bytes | None:
    if not text.startswith(PREFIX):
        return None
    try:
        raw = base64.b64decode(text.removeprefix(PREFIX), validate=True)
    except ValueError:
        return None
    return raw if len(raw) == 32 else None


def _text(raw: bytes) -> str:
    return base64.b64encode(raw).decode()


def _file_of(fingerprint: str) -> Path:
    return config_folder() / f"key-{fingerprint[:32]}.json"


def _box(passphrase: str, salt: bytes, cost: int) -> Any:
    from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305
    from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

    return ChaCha20Poly1305(Scrypt(salt=salt, length=32, n=cost, r=8, p=1).derive(passphrase.encode()))


def _write_new(path: Path, content: dict[str, Any]) -> None:
    """A new file, readable by its owner only, on the disk when this returns."""
    try:
        with os.fdopen(
            os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w", encoding="utf-8"
        ) as file:
            json.dump(content, file, ensure_ascii=False, indent=1)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise FileTrouble(
            f"The file {path} cannot be written: {error.strerror}.", next_step="Check the folder."
        ) from error
