/* Help texts: each opens with an example. */
#ifndef CLI_HELP_H
#define CLI_HELP_H

extern const char help_import[], help_columns[], help_event[], help_settings[], help_baseline[],
    help_status[], help_analyse[], help_chart[], help_report[], help_runlength[], help_verify[],
    help_backup[];

#endif
