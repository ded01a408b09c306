"""One file a change; a change that was released is never edited. Each may meet its own result already."""
