"""Who may do what. Roles are groups; `by=None` is the command line, which only the machine's owner can reach."""

from enum import Enum

from django.contrib.auth.models import AbstractBaseUser, AnonymousUser, User

from inventory.errors import NotAllowed

OWNER, HELPER, BOOKKEEPER = "owner", "helper", "bookkeeper"
ROLES = (OWNER, HELPER, BOOKKEEPER)
Person = User | AbstractBaseUser | AnonymousUser | None


class Act(Enum):
    """A kind of entry, or what is read of the money; the value says it in words."""

    SHED = "record work in the shed"
    GOODS = "record goods in and counts"
    PRICES = "finish, price and sell pieces"
    BOOKS = "write money or close the books"
    SETUP = "change the set-up"
    MONEY = "read costs, rates, results and what customers owe"


ALLOWED: dict[str, frozenset[Act]] = {
    OWNER: frozenset(Act),
    HELPER: frozenset({Act.SHED, Act.GOODS}),
    BOOKKEEPER: frozenset({Act.GOODS, Act.BOOKS, Act.MONEY}),
}


def may(by: Person, act: Act) -> bool:
    """True when `by` may do `act`. A superuser is the owner."""
    if by is None:
        return True
    if not isinstance(by, User):
        return False
    if by.is_superuser:
        return True
    return any(act in ALLOWED[name] for name in _roles(by) if name in ALLOWED)


def _roles(by: User) -> frozenset[str]:
    """Asked once of each person that a page has loaded: it asks for every button."""
    held: frozenset[str] | None = getattr(by, "_held_roles", None)
    if held is None:
        held = frozenset(by.groups.values_list("name", flat=True))
        by._held_roles = held  # type: ignore[attr-defined]
    return held


def forget(person: User) -> None:
    """The person's role has changed."""
    person.__dict__.pop("_held_roles", None)


def require(by: Person, act: Act) -> User | None:
    """Refuse what the role does not allow; answer the person to write into the record."""
    if not may(by, act):
        raise NotAllowed(act.value)
    return author(by)


def author(by: Person) -> User | None:
    """The person to write into the record; nobody stands for the command line."""
    return by if isinstance(by, User) else None
