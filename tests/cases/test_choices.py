from labcases.cases.choices import arch_in_words


def test_an_arch_is_said_in_words_and_what_is_of_no_arch_is_not():
    assert [arch_in_words(arch) for arch in ("maxillary", "mandibular", "")] == [
        "maxillary",
        "mandibular",
        "",
    ]
