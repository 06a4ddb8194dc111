"""A fault for each proof: what is changed in the code, and the tests in their short form that must notice."""

from dataclasses import dataclass

SWEEP = "tests/tools/every_action.py"


@dataclass(frozen=True)
class Mutant:
    """`fault` in words; in `file` the one place that reads `text` becomes `replacement`; `tests` must fail."""

    proof: str
    fault: str
    file: str
    text: str
    replacement: str
    tests: tuple[str, ...]


MUTANTS = (
    Mutant(
        "published-figures",
        "a change of the incisal pin means half as much",
        "labcases/prosthodontics/vertical/hinge.py",
        "    return pin * distance / pin_distance\n",
        "    return pin * distance / pin_distance / 2\n",
        ("tests/prosthodontics/vertical",),
    ),
    Mutant(
        "millimetres",
        "a hundredth is lost from a figure with two decimals",
        "labcases/prosthodontics/millimetres.py",
        """Decimal(f"{whole or '0'}.{part}" if part else whole)""",
        """Decimal(f"{whole or '0'}.{part[:1]}" if part else whole)""",
        ("tests/prosthodontics/test_millimetres.py",),
    ),
    Mutant(
        "rims-of-random-casts",
        "the rim is a tenth of a millimetre too wide",
        "labcases/prosthodontics/outline/course.py",
        "return plan.anterior_width + (plan",
        "return plan.anterior_width + 0.1 + (plan",
        ("tests/prosthodontics/outline/test_random_casts.py",),
    ),
    Mutant(
        "path-of-a-case",
        "work finished at the clinic stays there",
        "labcases/cases/rules.py",
        "        return Location.TO_LABORATORY\n",
        "        return case.location\n",
        ("tests/cases/test_path_machine.py",),
    ),
    Mutant(
        "races",
        "a stage is changed whatever its version and state",
        "labcases/cases/actions/guards.py",
        "pk=stage.pk, version=expected_version, state__in=states",
        "pk=stage.pk",
        ("tests/cases/actions/test_moves.py", "tests/cases/test_path_machine.py"),
    ),
    Mutant(
        "races-for-shared-things",
        "a checklist is replaced whoever changed it meanwhile",
        "labcases/cases/actions/checklists.py",
        "if expected is not None and tuple(expected) != checklist_for(stage_kind):",
        "if False:",
        ("tests/reliability/test_shared_lists.py",),
    ),
    Mutant(
        "kills-of-the-site",
        "a form is answered as done before it is kept",
        "labcases/people/actions/once.py",
        """            taken.save(update_fields=["answer"])\n""",
        """            taken.save(update_fields=["answer"])\n            transaction.set_rollback(True)\n""",
        ("tests/reliability/test_kills.py",),
    ),
    Mutant(
        "kills-beyond-one-machine",
        "a list does not wait for what its reader wrote",
        "labcases/operation/replica.py",
        " and done >= last_write",
        "",
        ("tests/operation/test_replica.py",),
    ),
    Mutant(
        "faults-in-main-acts",
        "a form's key is kept though what it asked for failed",
        "labcases/people/actions/once.py",
        "        with transaction.atomic():\n",
        "        if True:\n",
        ("tests/reliability/test_faults.py",),
    ),
    Mutant(
        "faults-in-every-act",
        "putting a stage on hold is no transaction",
        "labcases/cases/actions/moves.py",
        "@transaction.atomic\ndef hold_stage(",
        "def hold_stage(",
        (SWEEP, "--act", "cases.actions.moves.hold_stage", "tests/cases/actions/test_moves.py"),
    ),
    Mutant(
        "double-sending",
        "no two sendings of a form have the same key",
        "labcases/people/actions/once.py",
        """f"{user.pk}:{key}".encode""",
        """f"{user.pk}:{key}:{id(object())}:{__import__('os').urandom(8)}".encode""",
        ("tests/reliability/test_double_submit.py",),
    ),
    Mutant(
        "stale-edits",
        "a case is changed whatever its version",
        "labcases/cases/actions/guards.py",
        "Case.objects.filter(pk=case.pk, version=expected_version).update(",
        "Case.objects.filter(pk=case.pk).update(",
        ("tests/security/forms/test_stale_edits.py",),
    ),
    Mutant(
        "permissions",
        "a clinician may open the stages of every practice",
        "labcases/cases/querysets.py",
        "            return self.filter(case__practice_id=user.practice_id)\n",
        "            return self\n",
        ("tests/pages/test_permissions.py",),
    ),
    Mutant(
        "canaries",
        "a clinician sees the cases of every practice",
        "labcases/cases/querysets.py",
        "            return self.filter(practice_id=user.practice_id)\n",
        "            return self\n",
        ("tests/security/test_canaries.py",),
    ),
    Mutant(
        "fuzzed-forms",
        "a refusal is an error of the server",
        "labcases/pages/middleware.py",
        "return refusal_page(request, exception) if isinstance(exception, Refused) else None",
        "return None",
        ("tests/security/forms/test_fuzz.py",),
    ),
    Mutant(
        "planted-fields",
        "a person's form hands on what was sent beside its boxes",
        "labcases/office/views/people.py",
        "change_person(someone, by=request.user, expected_version=version, **form.changes)",
        "change_person(someone, by=request.user, expected_version=version, **form.changes | "
        """{name: request.POST[name] for name in ("licence_number",) if name in request.POST})""",
        ("tests/security/forms/test_mass_assignment.py",),
    ),
    Mutant(
        "paper-reaches-nothing",
        "a sheet may fetch what it asks for",
        "labcases/tickets/press.py",
        """        raise ValueError(f"{url[:80]} is outside the sheet")\n""",
        "        return super().fetch(url, headers)\n",
        ("tests/tickets/test_pdf.py",),
    ),
    Mutant(
        "headers-and-sign-in",
        "an answer says nothing of other sites' pages",
        "labcases/pages/middleware.py",
        """        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")\n""",
        "",
        ("tests/security/test_headers.py",),
    ),
    Mutant(
        "damaged-backups",
        "the seal is not looked at",
        "labcases/operation/archive/seal.py",
        "    if end[-DIGITS:] != _digest(file):\n",
        "    if False:\n",
        ("tests/operation/archive/test_reading.py",),
    ),
    Mutant(
        "backup-and-restore",
        "a restored moment is cut to its second",
        "labcases/operation/archive/values.py",
        "    return value.astimezone(datetime.UTC)\n",
        "    return value.astimezone(datetime.UTC).replace(microsecond=0)\n",
        ("tests/operation/actions/test_restoring.py",),
    ),
    Mutant(
        "altered-records",
        "rows are not compared with what their entry says",
        "labcases/records/checking.py",
        """    elif covered([rows[key] for key in said["ids"]], salt=event.salt) != said:\n""",
        "    elif False:\n",
        ("tests/records/test_checking.py",),
    ),
    Mutant(
        "records-never-changed",
        "readings have no guard",
        "labcases/records/migrations/0002_records_are_never_changed.py",
        """    "measurements_reading",\n""",
        "",
        ("tests/records/test_never_changed.py",),
    ),
    Mutant(
        "working-days",
        "a closed day counts when going backwards",
        "labcases/planning/working_time/calendars.py",
        "            if self.is_working_day(day):\n                yield day\n",
        "            if self.is_working_day(day) or (step < 0 and day in self.closed):\n                yield day\n",
        ("tests/planning/working_time/test_calendars.py",),
    ),
    Mutant(
        "plans-improved",
        "the bound is said to be higher than it is",
        "labcases/planning/scheduling/improving.py",
        "    return Improved(plan_of(best), greedy.cost, search.bound, stopped)\n",
        "    return Improved(plan_of(best), greedy.cost, search.bound + 10**9, stopped)\n",
        ("tests/planning/scheduling/test_improving.py",),
    ),
    Mutant(
        "true-size",
        "a drawing's millimetres are printed as pixels",
        "templates/tickets/_rim_drawing.html",
        """width="{{ drawing.width }}mm\"""",
        """width="{{ drawing.width }}px\"""",
        ("tests/tickets/test_paper.py", "tests/tickets/test_true_size.py"),
    ),
    Mutant(
        "worn-scan-marks",
        "the scan mark has hardly a reserve against dirt",
        "labcases/tickets/codes.py",
        """segno.make_qr(content, error="h", mode="alphanumeric", boost_error=False)""",
        """segno.make_qr(content, error="l", mode="alphanumeric", boost_error=False)""",
        ("tests/tickets/test_scanning.py", "tests/tickets/test_codes.py"),
    ),
    Mutant(
        "every-page-in-a-browser",
        "words are as dark as the ground in the dark",
        "static/css/site.css",
        "  @media (prefers-color-scheme: dark) {",
        "  @media (prefers-color-scheme: dark) { p, td, dd, label { color: #222 !important }",
        ("tests/browser/test_every_page.py",),
    ),
    Mutant(
        "queries-of-pages",
        "a practice's list asks for the stages of each of its cases",
        "labcases/clinic/views/cases.py",
        '.prefetch_related("stages", "returns")',
        '.prefetch_related("returns")',
        ("tests/reliability/test_queries_of_pages.py",),
    ),
    Mutant(
        "earlier-states",
        "an update empties a column on its way",
        "labcases/attachments/migrations/0002_files_in_order_of_their_own_keys.py",
        "    operations = [\n",
        "    operations = [\n"
        "        migrations.RunSQL(\"UPDATE attachments_attachment SET caption = 'lost'\", migrations.RunSQL.noop),\n",
        ("tests/reliability/test_migrations.py",),
    ),
)
