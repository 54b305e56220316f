"""The planning case in whole numbers, solved exactly and worked out again."""
