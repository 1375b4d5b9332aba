#include "text/colour.h"
