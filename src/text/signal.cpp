#include "text/signal.h"
