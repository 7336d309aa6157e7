"""Another process that weighs several lots, one commit each: ``weigh_many.py FILE CODE …``."""

import sys
import time
from datetime import UTC, datetime

from curedash.domain.times import utc_text
from curedash.services.find import require_lot
from curedash.services.household.household import zone
from curedash.services.weighing.weigh import preview, weigh
from curedash.store.open import open_db
from curedash.store.work import By

if __name__ == "__main__":
    conn = open_db(sys.argv[1])
    for code in sys.argv[2:]:
        now = datetime.now(UTC)
        lot = require_lot(conn, code)
        seen = preview(lot, f"{(lot.last_gross_g or lot.green_g) - 11:g} g", now, zone(conn))
        by = By(utc_text(now), "bench", "shell", "bench")
        weigh(conn, by, lot.id, seen, keep_doubtful=True)
        time.sleep(0.05)
    conn.close()
