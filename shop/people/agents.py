"""What a browser says of itself, in words a person knows again. Pure; enough to tell a phone from the desk's computer."""

_BROWSERS = (("edg", "Edge"), ("opr/", "Opera"), ("firefox", "Firefox"), ("chrom", "Chrome"), ("safari", "Safari"))
_DEVICES = (
    ("iphone", "iPhone"),
    ("ipad", "iPad"),
    ("android", "Android"),
    ("windows", "Windows"),
    ("mac os", "Mac"),
    ("cros", "Chromebook"),
    ("linux", "Linux"),
)


def in_words(agent: str) -> str:
    """“Safari on iPhone”; “something else” for what says nothing we know."""
    says = agent.lower()
    browser = next((name for mark, name in _BROWSERS if mark in says), "")
    device = next((name for mark, name in _DEVICES if mark in says), "")
    return " on ".join(part for part in (browser, device) if part) or "something else"
