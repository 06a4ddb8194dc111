"""Sets it up, lets it work and die, and prints one line of numbers; exit 1 where anything is not as it should be."""

import argparse
import os
import random
import sys

from tests.reliability.wide.servers import Box, box


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.reliability.wide", description=__doc__)
    asked.add_argument("--kills", type=int, default=4, help="how often a site is killed with -9")
    asked.add_argument("--seconds", type=float, default=8, help="between two kills")
    asked.add_argument("--delay", type=int, default=300, help="milliseconds by which the replica is behind")
    asked.add_argument("--seed", type=int, default=None)
    options = asked.parse_args()
    with box(delay=options.delay) as made:
        os.environ["DATABASE_URL"] = made.primary.url
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        os.environ["LABCASES_BACKUP_FOLDER"] = str(made.folder / "backups")
        return trial(made, options)


def trial(made: Box, options: argparse.Namespace) -> int:
    import django

    django.setup()
    from django.core.management import call_command
    from django_tasks_db.models import DBTaskResult

    from tests.reliability.wide.reckoning import faults
    from tests.reliability.wide.shift import Shift, Workers
    from tests.reliability.wide.telling import FORGETS

    call_command("migrate", verbosity=0, interactive=False)
    rng = random.Random(options.seed)
    shift, forgetful = Shift(made, rng), Shift(made, rng, **{FORGETS: "1"})
    with Workers(made):
        shift.work(shift.kill_in_turn(options.kills, seconds=options.seconds))
        found = faults(shift.people, shift.stages)
        forgetful.work(lambda: forgetful.look_for_stale_lists(seconds=options.seconds))
    found |= {
        "failed jobs": [job.task_path for job in DBTaskResult.objects.failed()],
        "stale": [words for person in shift.people for words in person.stale],
        "strange": [words for person in shift.people for words in person.strange] + shift.failed,
    }
    for name, words in found.items():
        for each in words[:5]:
            sys.stderr.write(f"{name}: {each}\n")
    sys.stdout.write(in_one_line(shift, forgetful, found, options.kills) + "\n")
    seen = sum(person.from_replica for person in shift.people) and any(p.stale for p in forgetful.people)
    return 0 if seen and not any(found.values()) else 1


def in_one_line(shift, forgetful, found, kills: int) -> str:
    def total(of, name: str) -> int:
        return sum(
            len(value) if hasattr(value, "__len__") else value for value in (getattr(p, name) for p in of)
        )

    people = shift.people
    done = total(people, "finished") + total(people, "handed_over")
    return (
        f"{done} answered forms at two sites, {kills} kills of a site and {shift.replica_kills} of the replica, "
        f"{total(people, 'cut_off')} requests cut off and sent again: "
        + ", ".join(f"{len(words)} {name}" for name, words in found.items())
        + f"; {total(people, 'looks')} lists read back by who wrote, {total(people, 'from_replica')} of them from the "
        f"replica; a site that forgets who wrote what: {total(forgetful.people, 'stale')} stale of "
        f"{total(forgetful.people, 'looks')}"
    )


if __name__ == "__main__":
    sys.exit(main())
