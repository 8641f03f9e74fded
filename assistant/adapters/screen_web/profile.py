"""What a phone may install so that it trusts this laptop's door for good, where its browser gives no microphone, or no
socket, after a warning that was gone past.

An openly documented format of plain keys (a property list; "Configuration Profile Reference", from memory): one
certificate, under a name that a later one replaces. It holds nothing of a job and no secret.
"""

from __future__ import annotations

import hashlib
import plistlib
import uuid

PROFILE_PATH = "/hoodside.mobileconfig"
PROFILE_TYPE = "application/x-apple-aspen-config"

_NAME = "hoodside.phone-door"


def profile_of(authority: bytes, address: str) -> bytes:
    """The profile that holds this certificate. `authority`: DER; `address`: that it vouches for, as it is shown."""
    digest = hashlib.sha256(authority).hexdigest()
    return plistlib.dumps(
        {
            "PayloadType": "Configuration",
            "PayloadVersion": 1,
            "PayloadIdentifier": _NAME,
            "PayloadUUID": str(uuid.uuid5(uuid.NAMESPACE_OID, f"{_NAME}/{digest}")).upper(),
            "PayloadDisplayName": f"hoodside on the laptop at {address}",
            "PayloadDescription": f"Lets this phone trust {address}, and nothing else.",
            "PayloadContent": [
                {
                    "PayloadType": "com.apple.security.root",
                    "PayloadVersion": 1,
                    "PayloadIdentifier": f"{_NAME}.certificate",
                    "PayloadUUID": str(uuid.uuid5(uuid.NAMESPACE_OID, digest)).upper(),
                    "PayloadDisplayName": f"The laptop at {address}",
                    "PayloadContent": authority,
                }
            ],
        }
    )
