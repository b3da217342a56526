"""Sealing a proof: a hash chain over its evidence, digests of its parts, and a signature over all of it.

Canonical JSON after RFC 8785; SHA-256; Ed25519 after RFC 8032.
"""

from __future__ import annotations

import hashlib
import re
from typing import Any

import rfc8785

from wheelside.errors import BadRequest

Json = dict[str, Any]
PROOF_FORMAT = 2
"""Format 1 sealed sentences; its proofs are still read."""
FORMATS = (1, 2)
PARTS = ("about", "start", "record")
"""The parts that have a digest of their own, so that a change can be told by its place."""


def canonical(value: Any) -> bytes:
    """The bytes that stand for a JSON value, whatever its order and spacing (RFC 8785)."""
    return rfc8785.dumps(value)


def digest(value: Any) -> str:
    """The SHA-256 of a value in canonical form, in hex."""
    return hashlib.sha256(canonical(value)).hexdigest()


def links(about: Json, evidence: list[Json]) -> list[str]:
    """The link of each piece of evidence: the hash of the link before it and of the piece. The first hangs on `about`."""
    found, before = [], digest(about)
    for piece in evidence:
        bare = {k: v for k, v in piece.items() if k != "link"}
        before = hashlib.sha256(bytes.fromhex(before) + canonical(bare)).hexdigest()
        found.append(before)
    return found


def sealed(about: Json, start: Json, record: Json, evidence: list[Json], seal: bytes) -> Json:
    """A proof, signed with the 32 bytes of a book's private key."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    key = Ed25519PrivateKey.from_private_bytes(seal)
    chain = links(about, evidence)
    parts: Json = {"about": about, "start": start, "record": record}
    body = {
        "key": key.public_key().public_bytes_raw().hex(),
        "chain": chain[-1] if chain else digest(about),
        "pieces": len(chain),
        "parts": {name: digest(parts[name]) for name in PARTS},
    }
    chained = [{**piece, "link": link} for piece, link in zip(evidence, chain, strict=True)]
    signature = key.sign(canonical(body)).hex()
    return {"wheelside_proof": PROOF_FORMAT, **parts, "evidence": chained, "seal": {**body, "signature": signature}}


def signature_holds(seal: Json) -> bool:
    """Whether the signature of a seal is that of the key in it."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    body = {k: v for k, v in seal.items() if k != "signature"}
    try:
        key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(seal["key"]))
        key.verify(bytes.fromhex(seal["signature"]), canonical(body))
    except (InvalidSignature, ValueError, KeyError, TypeError):
        return False
    return True


def rules_of(proof: Json) -> int:
    """The rules that a proof was worked out by; those of format 1 were not named yet."""
    return 1 if proof["wheelside_proof"] == 1 else int(proof["about"]["rules"])


_PAGE = b"wheelside page\0"


def sign_page(text: str, seal: bytes) -> str:
    """The signature of a page's text, in hex, by the 32 bytes of a book's private key."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    return Ed25519PrivateKey.from_private_bytes(seal).sign(_PAGE + text.encode()).hex()


def page_signature_holds(text: str, signature: str, key: str) -> bool:
    """Whether a page's signature is that of a key over its text."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(key)).verify(bytes.fromhex(signature), _PAGE + text.encode())
    except (InvalidSignature, ValueError):
        return False
    return True


def fingerprint(key: str) -> str:
    """A public key for people: the first 16 bytes of its SHA-256, in groups of four hex digits."""
    short = hashlib.sha256(bytes.fromhex(key)).hexdigest()[:32].upper()
    return " ".join(short[i : i + 4] for i in range(0, 32, 4))


def is_of(named: str, key: str) -> bool:
    """Whether a public key has the fingerprint that somebody named, its beginning being enough. Raises BadRequest."""
    digits = re.sub(r"[\s:.-]", "", named).upper()
    if not re.fullmatch(r"[0-9A-F]{16,32}", digits):
        raise BadRequest(
            f"--key {named}: write the key's fingerprint as 'proof check' shows it, at least its first 16 hex digits",
            found=named,
            expected="16 to 32 hex digits",
        )
    return fingerprint(key).replace(" ", "").startswith(digits)
