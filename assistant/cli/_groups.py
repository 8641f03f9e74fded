"""Commands made of commands: the bare word helps."""

from __future__ import annotations

import click


class HelpfulGroup(click.Group):
    """Without a word after it, it prints its help and is content: who asks for nothing has done nothing wrong."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """The rest of the words, or the help where there are none."""
        if not args and not self.invoke_without_command and not ctx.resilient_parsing:  # the shell asks for words
            click.echo(ctx.get_help(), color=ctx.color)
            ctx.exit()
        return super().parse_args(ctx, args)
