"""What laylog says when it cannot do what was asked: one sentence a person can act on."""


class LaylogError(Exception):
    """Something laylog could not do; the text says what, where and what to do next."""


class FileError(LaylogError):
    """A file that cannot be read: missing, empty, locked, damaged or of the wrong kind."""


class StoreError(LaylogError):
    """A store that cannot be opened, written or migrated."""


class KnowledgeError(LaylogError):
    """Mistakes in a knowledge file, all listed at once."""


class QuestionError(LaylogError):
    """A question that cannot be answered as asked (unknown part, dose over range, wrong unit)."""
