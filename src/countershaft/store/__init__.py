"""The only package that touches a database or files: jobs, definitions, attachments, migrations, backup."""
