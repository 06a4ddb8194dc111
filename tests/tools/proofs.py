"""What is proved, how often at least, and by which tests: the rows of docs/proof.md, in its order."""

from dataclasses import dataclass

SQLITE, POSTGRESQL = "SQLite", "PostgreSQL"
BOTH = (SQLITE, POSTGRESQL)
# Tests that may be skipped: on SQLite there is no TRUNCATE, and no server that could be killed.
EXCUSED = frozenset(
    {
        "test_a_table_of_records_is_not_emptied_at_once",
        "test_no_answered_form_is_lost_when_the_databases_server_is_killed",
    }
)


@dataclass(frozen=True)
class Proof:
    """One row. `asked` is a number of `unit`; without a number that the tests tell, it is of tests that passed.

    `tests` are the paths or node ids whose every test must pass; `databases` those on which the row is asked for.
    `random` says that the run's seed had a say.
    """

    name: str
    shown: str
    asked: int
    unit: str
    tests: tuple[str, ...]
    databases: tuple[str, ...] = (SQLITE,)
    random: bool = False
    told: bool = False
    asked_on_postgresql: int | None = None

    def asked_on(self, database: str) -> int:
        if database == POSTGRESQL and self.asked_on_postgresql is not None:
            return self.asked_on_postgresql
        return self.asked


PROOFS = (
    Proof(
        "published-figures",
        "the trade's arithmetic gives published and derived values, each test with its source or what it is instead",
        400,
        "tests passed",
        ("tests/prosthodontics",),
        random=True,
    ),
    Proof(
        "millimetres",
        "twelve spellings of every hundredth up to a metre, and random texts: never another number",
        1_300_000,
        "texts read",
        ("tests/prosthodontics/test_millimetres.py",),
        random=True,
        told=True,
    ),
    Proof(
        "rims-of-random-casts",
        "outlines of rims on random plausible casts are sound and as wide as asked",
        20_000,
        "casts",
        ("tests/prosthodontics/outline/test_random_casts.py",),
        told=True,
    ),
    Proof(
        "path-of-a-case",
        "any sequence of moves leaves a case as a model in plain Python says",
        100_000,
        "moves without a divergence",
        ("tests/cases/test_path_machine.py",),
        BOTH,
        random=True,
        told=True,
        asked_on_postgresql=10_000,
    ),
    Proof(
        "races",
        "of two people who finish a stage at once one wins, the other gets the conflict page, one entry is logged",
        500,
        "races",
        ("tests/reliability/test_finishing_races.py",),
        BOTH,
        told=True,
    ),
    Proof(
        "races-for-shared-things",
        "plans, lists, standards, numbers, figures and waiting acts: one at a time, nobody waits for ever",
        20,
        "tests passed",
        (
            "tests/reliability/test_proposal_races.py",
            "tests/reliability/test_shared_lists.py",
            "tests/reliability/test_waiting.py",
        ),
        BOTH,
    ),
    Proof(
        "kills-of-the-site",
        "kill -9 of the whole site under eight people who write: no answered form lost, none kept by half",
        200,
        "kills",
        ("tests/reliability/test_kills.py",),
        BOTH,
        random=True,
        told=True,
        asked_on_postgresql=100,
    ),
    Proof(
        "kills-of-the-database",
        "kill -9 of a process of the database's server, which ends all others and recovers: the same",
        20,
        "kills",
        ("tests/reliability/test_kills.py",),
        (POSTGRESQL,),
        random=True,
        told=True,
    ),
    Proof(
        "kills-beyond-one-machine",
        "kill -9 of one of two sites, and of the replica: no answered form lost or half kept, nobody misses their own",
        20,
        "kills",
        ("tests/reliability/test_beyond_one_machine.py",),
        (POSTGRESQL,),
        random=True,
        told=True,
    ),
    Proof(
        "faults-in-main-acts",
        "a fault before and after each statement that writes, in the main acts: all is kept or nothing, and it is said",
        6,
        "acts",
        ("tests/reliability/test_faults.py",),
        BOTH,
        told=True,
    ),
    Proof(
        "faults-in-every-act",
        "a fault before and after each statement, reads too, of every act that writes, with some test's own rows",
        135,
        "acts tried",
        ("tests/tools/every_action.py",),
        random=True,
        told=True,
    ),
    Proof(
        "double-sending",
        "the same form sent two to ten times at once, and later again: one effect, one answer",
        20,
        "tests passed",
        ("tests/reliability/test_double_submit.py",),
        BOTH,
    ),
    Proof(
        "stale-edits",
        "whoever sends an edit form second gets the conflict page with what was typed; every POST route is found",
        2,
        "tests passed",
        ("tests/security/forms/test_stale_edits.py",),
    ),
    Proof(
        "permissions",
        "every address, for every kind of person, method and owner, answers as a table says; foreign and unknown alike",
        100,
        "tests passed",
        ("tests/pages/test_permissions.py",),
        random=True,
    ),
    Proof(
        "canaries",
        "words written for one practice appear on no page, paper or calendar of another",
        5,
        "tests passed",
        ("tests/security/test_canaries.py",),
        random=True,
    ),
    Proof(
        "fuzzed-forms",
        "no form answers an error of the server or loses what was typed, whatever is sent",
        100,
        "spoilt forms of each",
        ("tests/security/forms/test_fuzz.py",),
        random=True,
        told=True,
    ),
    Proof(
        "planted-fields",
        "no form takes a field that it does not have",
        2,
        "tests passed",
        ("tests/security/forms/test_mass_assignment.py",),
    ),
    Proof(
        "paper-reaches-nothing",
        "printing opens no connection and embeds no file, whatever stands in a sheet or in stored text",
        25,
        "tests passed",
        ("tests/tickets/test_pdf.py", "tests/tickets/test_press.py"),
    ),
    Proof(
        "headers-and-sign-in",
        "every class of answer has just its headers; no form without its token; sign-in renews keys and is throttled",
        40,
        "tests passed",
        ("tests/security/test_headers.py", "tests/security/test_sign_in.py"),
    ),
    Proof(
        "damaged-backups",
        "of damaged archives none is restored and nothing is touched",
        250,
        "damaged archives refused",
        ("tests/operation/archive/test_reading.py",),
        random=True,
        told=True,
    ),
    Proof(
        "backup-and-restore",
        "a backup beside running writers comes back equal, into either database, from each earlier schema",
        40,
        "tests passed",
        ("tests/operation/actions",),
        BOTH,
    ),
    Proof(
        "altered-records",
        "an alteration of any record past the guards is found by the check of its log",
        1_000,
        "alterations found",
        ("tests/records/test_checking.py",),
        BOTH,
        random=True,
        told=True,
    ),
    Proof(
        "records-never-changed",
        "the database itself refuses to change, delete or empty what may only be added",
        5,
        "tests passed",
        ("tests/records/test_never_changed.py",),
        BOTH,
    ),
    Proof(
        "working-days",
        "working days agree with another library on random calendars; laws of their arithmetic hold over all clocks",
        20_000,
        "random calendars",
        ("tests/planning/working_time",),
        random=True,
        told=True,
    ),
    Proof(
        "plans-improved",
        "the search for a better plan keeps every rule, is never worse, and its bound holds",
        30,
        "tests passed",
        ("tests/planning/scheduling/test_improving.py",),
    ),
    Proof(
        "true-size",
        "drawings on paper are the computed ones to 0.05 mm; long values are not clipped; every fact is printed",
        100,
        "tests passed",
        ("tests/tickets/test_paper.py", "tests/tickets/test_true_size.py"),
        random=True,
    ),
    Proof(
        "worn-scan-marks",
        "at least 99 of 100 worn scan marks at 300 dpi are read, none as another",
        500,
        "worn marks tried",
        ("tests/tickets/test_scanning.py",),
        random=True,
        told=True,
    ),
    Proof(
        "every-page-in-a-browser",
        "every page in three widths and two themes passes axe and the ruler; the audiences' ways end to end",
        3,
        "tests passed",
        ("tests/browser",),
    ),
    Proof(
        "queries-of-pages",
        "no page asks the database more often where there are more rows, and none more than twelve times",
        150,
        "pages, each for everybody who may see it",
        ("tests/reliability/test_queries_of_pages.py",),
        BOTH,
        told=True,
    ),
    Proof(
        "earlier-states",
        "from each earlier state of the schema, with a row of everything, no value is lost on the way to the latest",
        2,
        "tests passed",
        ("tests/reliability/test_migrations.py",),
        BOTH,
    ),
)
