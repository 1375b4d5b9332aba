#include "text/table.h"
