"""One recipe with everything that was computed of it: what the pages are made from."""

from dataclasses import dataclass

from thirdstop.book.book import LoadedRecipe
from thirdstop.book.recipe import Recipe
from thirdstop.checks.findings import Finding
from thirdstop.drawings.charts import FillCurve
from thirdstop.exposure.readings import RatioReading, Readings
from thirdstop.exposure.stops import ratio_text
from thirdstop.placing.correction import Correction
from thirdstop.placing.curve import KeyCurve, RatioCurve
from thirdstop.placing.mirror_set import MirrorSet
from thirdstop.staging.staging import Staging


@dataclass(frozen=True, eq=False)
class Evaluated:
    """A recipe with its staging, readings and findings."""

    loaded: LoadedRecipe
    staging: Staging
    readings: Readings
    findings: tuple[Finding, ...]
    defaults: tuple[str, ...]
    """Dotted keys that the recipe left out, each with a stated default: 'exposure.shutter'."""
    corrections: tuple[Correction, ...] = ()
    """What to turn or move when the meter disagrees; most likely first."""
    curve: FillCurve | None = None
    """The ratio over the first card's distance; None where there is no card, or nobody computed it."""
    moves: RatioCurve | None = None
    """Ratio and key reading over the first card's distance, for the page that is used on set."""
    key_moves: KeyCurve | None = None
    """The same over the key's distance, for the recipe's page; None where nobody computed it."""
    mirror: MirrorSet | None = None
    """The set-up mirrored, or why it can't be; None where nobody computed it."""
    black_walls: RatioReading | None = None
    """The ratio with black walls; None where the light comes off them, or nobody computed it."""

    @property
    def slug(self) -> str:
        """Its name in links."""
        return self.loaded.slug

    @property
    def file(self) -> str:
        """Relative to the book."""
        return self.loaded.file

    @property
    def title(self) -> str:
        """What the house calls it."""
        return self.loaded.recipe.title

    @property
    def recipe(self) -> Recipe:
        """The recipe as it was written."""
        return self.loaded.recipe

    @property
    def meant_to_halt(self) -> bool:
        """Whether it is shown because it must not be built."""
        return bool(self.loaded.recipe.meant_to_halt)

    @property
    def counts(self) -> dict[str, int]:
        """How many findings there are of each kind."""
        return {kind: sum(one.verdict == kind for one in self.findings) for kind in ("pass", "look", "halt")}

    @property
    def halts(self) -> tuple[Finding, ...]:
        """Findings that stop the set-up."""
        return tuple(finding for finding in self.findings if finding.verdict == "halt")

    @property
    def safety_halts(self) -> tuple[Finding, ...]:
        """Halts on safety: nothing may be built from this recipe until they are gone."""
        return tuple(finding for finding in self.halts if finding.safety)


def drawn_along(
    curve: RatioCurve | KeyCurve, now: RatioReading, forbidden: tuple[tuple[float, float, str], ...]
) -> FillCurve:
    """A curve as it is drawn: the recipe's own band is taken for all of it."""
    band = 2.0**now.band_stops
    return FillCurve(
        distances_m=curve.distances_m,
        ratios=curve.ratios,
        low=curve.ratios / band,
        high=curve.ratios * band,
        chosen_m=curve.chosen_m,
        chosen_ratio=now.ratio,
        chosen_text=ratio_text(now.ratio),
        forbidden=forbidden,
    )
