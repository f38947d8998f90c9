"""The real text path on the invented home: what a phrase means, and sessions that keep nothing."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

from assistant.adapters.home.folder import Home
from assistant.adapters.home.setting_up import make_demo
from assistant.adapters.register.nothing import NoRegister
from assistant.adapters.system_clock import SystemClock
from assistant.conversation.state import Setting
from assistant.conversation.turn import Turn
from assistant.language.heard import Heard
from assistant.language.lexicon import Lexicon
from assistant.language.requests import (
    BatchSaid,
    CageSaid,
    DoseWanted,
    MedicineSaid,
    NeedleSaid,
    Plain,
    Request,
    TareSaid,
    UnitSaid,
    VolumeSaid,
    WeightFixed,
)
from assistant.language.understanding import understand
from assistant.session import Session
from assistant.wiring import Desk, open_desk


@dataclass(frozen=True)
class BenchDesk:
    """The demo home, its lexicon, and what text means there.

    `desk` is what ears are opened with; its folder is gone, and its register is never used.
    """

    desk: Desk
    setting: Setting

    @property
    def lexicon(self) -> Lexicon:
        """The words of the demo home."""
        return self.desk.lexicon

    def session(self) -> Session:
        """A conversation that answers one phrase at once, and then questions about it."""
        return Session(self.setting, NoRegister(), SystemClock())

    def typed(self, text: str) -> Turn:
        """What the text path makes of the text: the truth that ears are held against."""
        return self.session().hear(Heard(text))

    def meaning(self, text: str) -> str:
        """What a command means, the same for every wording of it; empty where it is in doubt."""
        understood = understand(text, self.lexicon)
        if understood.doubt is not None or len(understood.requests) != 1:
            return ""
        return self._meant(understood.requests[0])

    def _meant(self, request: Request) -> str:
        match request:
            case Plain(kind):
                return kind
            case BatchSaid() | VolumeSaid() | CageSaid():
                return repr(request)
            case TareSaid(weight):
                return f"tare {weight.grams if weight else 'none'}"
            case MedicineSaid(spoken):
                medicine = self.lexicon.medicine(spoken)
                return f"medicine {medicine.name if medicine else ''}"
            case NeedleSaid(spoken):
                needle = self.lexicon.needle(spoken)
                return f"needle {needle.name if needle else ''}"
            case DoseWanted():
                return "dose"
            case UnitSaid(unit):
                return f"unit {unit}"
            case WeightFixed(weight):
                return f"fix {weight.grams}"


def open_bench_desk() -> BenchDesk:
    """The demo home made in a folder that is gone afterwards."""
    with tempfile.TemporaryDirectory() as folder:
        home = Home(Path(folder) / "home")
        make_demo(home)
        desk = open_desk(str(home.path))
    setting = Setting(
        lexicon=desk.lexicon,
        kit=desk.holding.kit,
        medicines=desk.holding.medicines,
        usual=desk.holding.usual_medicine,
        round_id="bench",
        one_shot=True,
    )
    return BenchDesk(desk, setting)
