"""One backup in one file: a zip of the rows of every table and the files they name, with a manifest, sealed as a whole.

    manifest.json              what the archive is; of every table its columns, rows, bytes and SHA-256, of every file
                               its bytes and SHA-256
    tables/people.user.jsonl   a table: one row a line, a JSON list in the order of the manifest's columns
    files/3f/3f09….jpg         a photograph, paper or scan, byte by byte under its name in the storage

The zip's comment ends with the SHA-256 of every byte before it, so that no byte of the file can change unseen.
That finds damage, not forgery: who can write an archive can seal it anew.
"""
