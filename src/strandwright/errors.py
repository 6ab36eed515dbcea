"""The one error tree: whose fault it is, what was given, what to do.

::

    StrandwrightError
      x InputError (ValueError)      UnitError, GeometryError, SpecError, LimitError
      x InputErrors (ValueError)     several of the above, found in one go
      x SolveError (RuntimeError)    NotConverged, OutsideValidRange
      x SheetError (RuntimeError)
      x StoreError (RuntimeError)    NotFound (LookupError), Conflict, StoreUnusable

An :class:`InputError` carries the field, the value given, the rule it breaks and the remedy,
so that a screen can stand it beside the field and a command can print it on one line.
"""

from __future__ import annotations


class StrandwrightError(Exception):
    """Root of every error this package raises on purpose."""


class InputError(StrandwrightError, ValueError):
    """Something that was entered cannot be used.

    Parameters
    ----------
    field : str
        Where it was entered, in the words of the job file, e.g. ``line.serving[2].to``.
    given : object
        The value as it was entered.
    rule : str
        What the value must satisfy.
    remedy : str
        The next act that mends it.
    """

    def __init__(self, field: str, given: object, rule: str, remedy: str) -> None:
        super().__init__(field, given, rule, remedy)
        self.field = field
        self.given = given
        self.rule = rule
        self.remedy = remedy

    def __str__(self) -> str:
        """Say field, value, rule and remedy on one line."""
        given = self.given if isinstance(self.given, str) else repr(self.given)
        return f"{self.field}: '{given}': {self.rule}; {self.remedy}"

    def at(self, field: str) -> InputError:
        """Give the same error as seen from another field.

        Parameters
        ----------
        field : str
            The field's full name.

        Returns
        -------
        InputError
            Of the same class, with the same value, rule and remedy.
        """
        return type(self)(field, self.given, self.rule, self.remedy)


class UnitError(InputError):
    """A quantity has no unit, the wrong kind of unit, or cannot be read as a number."""


class GeometryError(InputError):
    """A shape cannot exist: a loop that does not close round its pin, a serving off the line."""


class SpecError(InputError):
    """The parts of a specification contradict each other."""


class LimitError(InputError):
    """A load or a size is over a limit that keeps people and parts whole."""


class InputErrors(StrandwrightError, ValueError):
    """Several things that were entered cannot be used; nothing was done.

    Parameters
    ----------
    errors : tuple of InputError
        One for each field, in the order they were met.
    """

    def __init__(self, errors: tuple[InputError, ...]) -> None:
        super().__init__(errors)
        self.errors = errors

    def __str__(self) -> str:
        """Say one error a line."""
        return "\n".join(str(e) for e in self.errors)


class SolveError(StrandwrightError, RuntimeError):
    """A computation ended without an answer.

    Parameters
    ----------
    message : str
        What was sought, and what to try next.
    residual : float
        Largest remaining residual, in the equation's own unit [unit].
    iterations : int
        Iterations spent [-].
    """

    def __init__(self, message: str, residual: float = float("nan"), iterations: int = 0) -> None:
        super().__init__(message, residual, iterations)
        self.message = message
        self.residual = residual
        self.iterations = iterations

    def __str__(self) -> str:
        """Say the message, with the evidence where there is any."""
        if self.iterations == 0:
            return self.message
        return f"{self.message} (residual {self.residual:.3g} after {self.iterations} iterations)"


class NotConverged(SolveError):
    """The iteration did not reach its tolerance."""


class OutsideValidRange(SolveError):
    """No answer exists inside the range where the model holds."""


class SheetError(StrandwrightError, RuntimeError):
    """The printed sheet could not be made."""


class StoreError(StrandwrightError, RuntimeError):
    """What is kept cannot be found, written or read."""


class NotFound(StoreError, LookupError):
    """Nothing of that name is kept.

    Parameters
    ----------
    kind : str
        What was asked for: job, bench, plan, build.
    id : str
        Its identity.
    """

    def __init__(self, kind: str, id: str) -> None:
        super().__init__(kind, id)
        self.kind = kind
        self.id = id

    def __str__(self) -> str:
        """Say what is not there."""
        return f"no {self.kind} '{self.id}' is kept here; look at the list of what is"


class Conflict(StoreError):
    """Something was changed elsewhere in the meantime, or stands already with other content.

    Parameters
    ----------
    kind : str
        What was to be written: job, bench, event.
    id : str
        Its identity.
    rule : str
        What stands against it.
    remedy : str
        The next act.
    newest : int or None
        Newest revision of a document that was changed elsewhere [-]
    """

    def __init__(
        self, kind: str, id: str, rule: str, remedy: str, newest: int | None = None
    ) -> None:
        super().__init__(kind, id, rule, remedy, newest)
        self.kind = kind
        self.id = id
        self.rule = rule
        self.remedy = remedy
        self.newest = newest

    def __str__(self) -> str:
        """Say what stands against it and what to do."""
        return f"{self.kind} '{self.id}': {self.rule}; {self.remedy}"


class StoreUnusable(StoreError):
    """The place where records are kept cannot be opened, read or written."""
