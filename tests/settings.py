"""The shop's own settings with a home of its own for each test process, removed when it ends."""

import atexit
import os
import shutil
import tempfile

# A test must never meet a real shop's files, mail server or secrets. The database and the broker are chosen by whoever
# starts the tests (DATABASE_URL, REDIS_URL).
_home = tempfile.mkdtemp(prefix="shop-test-")
atexit.register(shutil.rmtree, _home, ignore_errors=True)
_OURS = ("SHOP_", "SMTP_", "S3_", "EMAIL_")
_KEPT = {"SHOP_NO_SKIPS", "SHOP_CHROMIUM"}
for _name in [name for name in os.environ if name.startswith(_OURS) and name not in _KEPT]:
    del os.environ[_name]
os.environ["SHOP_HOME"] = _home

from shop.settings import *  # noqa: E402, F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # quick, and nobody's real password

STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # noqa: F405  (whitenoise warns of a missing folder)
WHITENOISE_AUTOREFRESH = True  # looks for a file when it is asked for, and not for all of them for every test's client
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":  # noqa: F405
    # a file, as in a shop: threads of one test then wait for each other instead of failing on a shared memory
    DATABASES["default"]["TEST"] = {"NAME": f"{_home}/test.sqlite3"}  # noqa: F405
