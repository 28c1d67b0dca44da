"""What the search finds: the words of each record, and an index over them."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0006"
down_revision: str | None = "0005"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

# The beginnings of words are looked up as words are, up to twelve letters: no look-up has to go through all words that
# begin so.
_INDEX = """
CREATE VIRTUAL TABLE findable_words USING fts5(
  title, words, car, content = 'findable', content_rowid = 'place',
  tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3 4 5 6 7 8 9 10 11 12')
"""


def upgrade() -> None:
    op.create_table(
        "findable",
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("record", sa.Text(), nullable=False),
        sa.Column("car", sa.Text(), nullable=True),
        sa.Column("parent", sa.Text(), nullable=True),
        sa.Column("at", sa.Text(), nullable=True),
        sa.Column("newest", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("place"),
        sqlite_strict=True,
    )
    op.create_index("ix_findable_record", "findable", ["kind", "record"], unique=True)
    op.execute(_INDEX)


def downgrade() -> None:
    raise NotImplementedError("A record is never taken back to an older form: restore a backup instead.")
