"""How a device learns to trust the shop's own authority, step by step. Pure; menus as their makers call them, from memory."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Device:
    """One kind of device: which file it takes, and what to do there. “{name}” is the authority's name."""

    code: str
    name: str
    file: str
    steps: tuple[str, ...]


DEVICES = (
    Device(
        "ios",
        "iPhone and iPad",
        "authority.mobileconfig",
        (
            "Open this page in Safari, press the button, and allow the download.",
            "Open Settings. Near the top it says “Profile Downloaded”: open it and press Install. It asks for the device’s code.",
            "Compare the fingerprint under More Details with the one printed here.",
            "In Settings: General, About, Certificate Trust Settings. Switch on “{name}”. Without this step nothing changes.",
        ),
    ),
    Device(
        "android",
        "Android phone and tablet",
        "authority.crt",
        (
            "Press the button; the file goes to Downloads.",
            (
                "Open Settings and search there for “CA certificate” (it lies under Security, Encryption and credentials, "
                "Install a certificate). Press “Install anyway” and choose the file."
            ),
            "Under Trusted credentials, User, open “{name}” and compare the fingerprint with the one printed here.",
            "Use the browser the device came with, or Chrome.",
        ),
    ),
    Device(
        "windows",
        "Windows",
        "authority.crt",
        (
            "Press the button and open the file. Compare the fingerprint under Details (SHA-256, if shown).",
            (
                "Install Certificate, Current User, “Place all certificates in the following store”: Trusted Root "
                "Certification Authorities."
            ),
            "Close the browser and open it again.",
        ),
    ),
    Device(
        "mac",
        "Mac",
        "authority.crt",
        (
            "Press the button and open the file; Keychain Access opens. Add it to “login”.",
            "Open “{name}” there and compare the fingerprint with the one printed here.",
            "Under Trust, choose “Always Trust” and close the window; it asks for your password.",
        ),
    ),
    Device(
        "linux",
        "Linux, and Firefox anywhere",
        "authority.crt",
        (
            "Press the button and keep the file.",
            "In the browser’s settings search for “certificates”, open Authorities, and import the file for websites only.",
            "View it and compare the fingerprint with the one printed here.",
        ),
    ),
)
WHY = (
    "The shop’s pages come from a computer in this building. So that nobody on this network can read along, and so that the "
    "camera may be used, each device has to know that computer once."
)
CAUTION = (
    "Trust it only when the fingerprint is the same, and only on devices of the shop. It vouches for addresses of this "
    "building’s network and for nothing else. Never ask an owner to trust it on their own telephone."
)
