"""From what happened to a letter in a mailbox: news is looked at, letters are written, sent, tried again."""
