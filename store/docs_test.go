package store

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

func TestPageAboutTheDataSaysWhatTheProgramDoes(t *testing.T) {
	text, err := os.ReadFile("../docs/data.md")
	if err != nil {
		t.Fatal(err)
	}
	page := strings.Join(strings.Fields(string(text)), " ")
	for _, want := range []string{
		fmt.Sprintf("the last %d days", DailyKept), fmt.Sprintf("the last %d weeks", WeeklyKept), fmt.Sprintf("the last %d months", MonthlyKept),
		fmt.Sprintf("the last %d of these", BeforeKept), fmt.Sprintf("%d MB a photo", LargestPhoto>>20), fmt.Sprintf("%d records at once", MostEventsAtOnce),
		fmt.Sprintf("up to %d MB", largestFullyChecked>>20), fmt.Sprintf("larger than %d MB", largestRenewed>>20), fmt.Sprintf("leave less than %d MB", roomForRecords>>20),
		FileName, "`" + BackupsFolder + "`", manifestName, readMeName, ".lock", ".restoring", "henyear-set-aside-",
		"henyear backup", "henyear restore", "henyear export", "henyear import", fmt.Sprintf("form %d", knownForm()),
	} {
		if !strings.Contains(page, want) {
			t.Errorf("docs/data.md does not say %q", want)
		}
	}
}
