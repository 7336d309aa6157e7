"""Why a broker cannot be reached, in words."""

import ssl
from collections.abc import Iterator

from curedash.domain.errors import CuredashError

# numbers of OpenSSL's X509_V_ERR_…, see x509_vfy.h
OUT_OF_DATE, UNKNOWN_SIGNER, OTHER_NAME = (9, 10), (2, 18, 19, 20, 21), (62, 64)


def reason(trouble: BaseException, *, tls: bool = False, own_ca: bool = False) -> str:
    """The beginning of a sentence about what went wrong.

    Parameters
    ----------
    trouble : what was raised, with what led to it
    tls : the connection was to be encrypted
    own_ca : the certificate was checked against a CA file that was given

    Example
    -------
    >>> reason(ConnectionRefusedError(111, "Connection refused"))
    'connection refused'
    """
    if isinstance(trouble, CuredashError):
        return _small(str(trouble))
    for cause in _causes(trouble):
        if isinstance(cause, ssl.SSLCertVerificationError):
            return _certificate(cause, own_ca)
        if tls and isinstance(cause, (ConnectionResetError, ssl.SSLError)):
            return "there is no TLS on this port; --port names another, brokers usually take 8883"
        if isinstance(cause, OSError) and cause.strerror:
            return _small(cause.strerror)
    return _small(str(trouble)) or "no connection"


def _causes(trouble: BaseException | None) -> Iterator[BaseException]:
    """An exception and what led to it, which the broker's library hides."""
    while trouble is not None:
        yield trouble
        trouble = trouble.__cause__ or trouble.__context__


def _certificate(cause: ssl.SSLCertVerificationError, own_ca: bool) -> str:
    code = cause.verify_code
    if code in OTHER_NAME:
        return "its certificate is for another name; give --broker the name in the certificate"
    if code in OUT_OF_DATE:
        return "its certificate is out of date, or this machine's clock is wrong"
    if code in UNKNOWN_SIGNER:
        by = "that CA" if own_ca else "a CA this machine knows"
        return f"its certificate is not signed by {by}; give the one that signed it with --ca-file"
    return f"its certificate is refused ({cause.verify_message})"


def _small(text: str) -> str:
    text = text.rstrip(".")
    return text[:1].lower() + text[1:]
